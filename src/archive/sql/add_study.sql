INSERT OR REPLACE INTO rig_study (rig, studied_at, study)
VALUES (?1, ?2, ?3)
