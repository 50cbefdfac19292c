INSERT OR REPLACE INTO rig (name, made_at, rig)
VALUES (?1, ?2, ?3)
