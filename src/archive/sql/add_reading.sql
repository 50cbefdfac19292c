-- The checksum is written at once: to add it later would write a row of many pages twice.
INSERT INTO reading (finish_id, read_at, source, silver_map, picture, fingerprint_digest, colour, fingerprint, seal)
VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, blake3(json_array(?1, ?2, ?3, ?4, ?5, ?6, ?7)))
