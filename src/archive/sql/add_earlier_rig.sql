INSERT INTO earlier_rig (name, made_at, rig, studied_at, study)
VALUES (?1, ?2, ?3, ?4, ?5)
