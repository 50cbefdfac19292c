-- Finishes as kept: one row a reading with a name. Nothing here is ever overwritten.
CREATE TABLE finish (
    id              INTEGER PRIMARY KEY,
    name            TEXT NOT NULL UNIQUE,
    kept_at         TEXT NOT NULL,
    photo_name      TEXT NOT NULL,
    photo_digest    TEXT NOT NULL,
    settings_digest TEXT NOT NULL,
    version         INTEGER NOT NULL,
    stage           TEXT,
    fingerprint     TEXT NOT NULL,
    silver_map      BLOB NOT NULL,
    picture         BLOB NOT NULL,
    notes           TEXT NOT NULL
) STRICT;

-- Samples that were signed, with the studio's own allowances (JSON, measure to allowance).
CREATE TABLE approval (
    finish_id   INTEGER PRIMARY KEY REFERENCES finish (id) ON DELETE RESTRICT,
    approved_at TEXT NOT NULL,
    allowances  TEXT NOT NULL
) STRICT;

-- Rigs: the light and the patches of a fixed corner.
CREATE TABLE rig (
    name    TEXT PRIMARY KEY,
    made_at TEXT NOT NULL,
    rig     TEXT NOT NULL
) STRICT, WITHOUT ROWID;
