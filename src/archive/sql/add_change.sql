INSERT INTO change (made_at, thing, name, done, before, after, reason, finish_id)
VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)
