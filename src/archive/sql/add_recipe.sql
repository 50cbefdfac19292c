INSERT INTO recipe (finish_id, written_at, digest, recipe)
VALUES (?1, ?2, ?3, ?4)
