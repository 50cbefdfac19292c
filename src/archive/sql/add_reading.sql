INSERT INTO reading (finish_id, read_at, source, silver_map, picture, fingerprint_digest, fingerprint)
VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)
