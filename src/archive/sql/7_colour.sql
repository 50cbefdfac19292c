-- The colour of a reading's panel, cell by cell (PNG); none in readings that were made before it was kept.
ALTER TABLE reading ADD COLUMN colour TEXT REFERENCES file (digest) ON DELETE RESTRICT;
-- A seal holds it too. A reading whose seal is broken stays so.
UPDATE reading SET seal = blake3(json_array(finish_id, read_at, source, silver_map, picture, fingerprint_digest, colour))
WHERE seal IS blake3(json_array(finish_id, read_at, source, silver_map, picture, fingerprint_digest));
