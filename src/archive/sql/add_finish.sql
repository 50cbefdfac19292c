INSERT INTO finish (name, kept_at, photo_name, photo_digest, settings_digest, version, stage, notes)
VALUES (?1, ?2, ?3, ?4, '', 0, NULL, ?5)
