INSERT INTO job (name, opened_at, closed_at, sample_id, rig, details)
VALUES (?1, ?2, ?3, ?4, ?5, ?6)
