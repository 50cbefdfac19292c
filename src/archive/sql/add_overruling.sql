INSERT INTO overruling (made_at, sample_id, panel, photo_digest, found, decided, reason, question)
VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)
