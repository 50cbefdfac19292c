-- Bytes by their BLAKE3 digest, each once: silver maps, small pictures, photos.
CREATE TABLE file (
    id     INTEGER PRIMARY KEY,
    digest TEXT NOT NULL UNIQUE,
    bytes  BLOB NOT NULL
) STRICT;
INSERT OR IGNORE INTO file (digest, bytes) SELECT blake3(silver_map), silver_map FROM finish ORDER BY id;
INSERT OR IGNORE INTO file (digest, bytes) SELECT blake3(picture), picture FROM finish ORDER BY id;

-- Readings of finishes. Only ever added to: the latest of a finish holds, the earlier ones stay.
CREATE TABLE reading (
    id                 INTEGER PRIMARY KEY,
    finish_id          INTEGER NOT NULL REFERENCES finish (id) ON DELETE RESTRICT,
    read_at            TEXT NOT NULL,
    source             TEXT NOT NULL,
    silver_map         TEXT NOT NULL REFERENCES file (digest) ON DELETE RESTRICT,
    picture            TEXT NOT NULL REFERENCES file (digest) ON DELETE RESTRICT,
    fingerprint_digest TEXT NOT NULL,
    fingerprint        TEXT NOT NULL
) STRICT;
CREATE INDEX reading_of_finish ON reading (finish_id);
INSERT INTO reading (finish_id, read_at, source, silver_map, picture, fingerprint_digest, fingerprint)
    SELECT id, kept_at, 'photo', blake3(silver_map), blake3(picture), blake3(fingerprint), fingerprint
    FROM finish ORDER BY id;

-- A finish becomes what is listed and searched, a few hundred bytes; it names the reading that holds.
ALTER TABLE finish ADD COLUMN reading_id INTEGER REFERENCES reading (id) ON DELETE RESTRICT;
ALTER TABLE finish ADD COLUMN coverage REAL;
ALTER TABLE finish ADD COLUMN aggressiveness REAL;
UPDATE finish SET
    reading_id = (SELECT max(reading.id) FROM reading WHERE reading.finish_id = finish.id),
    coverage = CASE WHEN json_valid(fingerprint)
        THEN json_extract(fingerprint, '$.measurements.coverage.Ok.value') END,
    aggressiveness = CASE WHEN json_valid(fingerprint)
        THEN json_extract(fingerprint, '$.measurements.aggressiveness.Ok.value') END;
ALTER TABLE finish DROP COLUMN fingerprint;
ALTER TABLE finish DROP COLUMN silver_map;
ALTER TABLE finish DROP COLUMN picture;

-- The photo files themselves, where the maker wanted them kept.
CREATE TABLE photo (
    finish_id INTEGER PRIMARY KEY REFERENCES finish (id) ON DELETE RESTRICT,
    digest    TEXT NOT NULL REFERENCES file (digest) ON DELETE RESTRICT
) STRICT;
