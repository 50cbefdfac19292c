INSERT OR REPLACE INTO signature (finish_id, signed_by, signed_at)
VALUES (?1, ?2, ?3)
