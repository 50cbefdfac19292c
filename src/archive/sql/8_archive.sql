-- The archive as it is first made. Nothing that was kept is overwritten; where a finish has several of one kind, the last holds.
--
-- `seal` is the row's checksum: the digest of what the row says (src/archive/checksum.rs). Each row gets it before the change
-- that wrote it is done, and the indices named `unsealed_` find those that still lack it.

-- Bytes by their BLAKE3 digest, each once: silver maps, thumbnails, colours, photos.
CREATE TABLE file (
    id     INTEGER PRIMARY KEY,
    digest TEXT NOT NULL UNIQUE,
    bytes  BLOB NOT NULL
) STRICT;

-- What is listed and searched of a finish, a few hundred bytes. `reading_id` names the reading that holds; what stands here of
-- that reading is worked out from it.
CREATE TABLE finish (
    id              INTEGER PRIMARY KEY,
    name            TEXT NOT NULL UNIQUE,
    kept_at         TEXT NOT NULL,
    photo_name      TEXT NOT NULL,
    photo_digest    TEXT NOT NULL,
    settings_digest TEXT NOT NULL,
    version         INTEGER NOT NULL,
    stage           TEXT,
    notes           TEXT NOT NULL,
    reading_id      INTEGER REFERENCES reading (id) ON DELETE RESTRICT,
    coverage        REAL,
    aggressiveness  REAL,
    seal            TEXT
) STRICT;

-- The readings of finishes: only ever added to. `colour` is null where the colour is not known.
CREATE TABLE reading (
    id                 INTEGER PRIMARY KEY,
    finish_id          INTEGER NOT NULL REFERENCES finish (id) ON DELETE RESTRICT,
    read_at            TEXT NOT NULL,
    source             TEXT NOT NULL,
    silver_map         TEXT NOT NULL REFERENCES file (digest) ON DELETE RESTRICT,
    picture            TEXT NOT NULL REFERENCES file (digest) ON DELETE RESTRICT,
    fingerprint_digest TEXT NOT NULL,
    fingerprint        TEXT NOT NULL,
    seal               TEXT,
    colour             TEXT REFERENCES file (digest) ON DELETE RESTRICT
) STRICT;
CREATE INDEX reading_of_finish ON reading (finish_id);

-- The photo files themselves, where the maker wanted them kept.
CREATE TABLE photo (
    finish_id INTEGER PRIMARY KEY REFERENCES finish (id) ON DELETE RESTRICT,
    digest    TEXT NOT NULL REFERENCES file (digest) ON DELETE RESTRICT,
    seal      TEXT
) STRICT;

-- Each finish as a point among looks, so that the nearest are found without opening every fingerprint.
CREATE TABLE look (
    finish_id INTEGER PRIMARY KEY REFERENCES finish (id) ON DELETE CASCADE,
    form      INTEGER NOT NULL,
    kind      TEXT NOT NULL,
    point     BLOB NOT NULL,
    seal      TEXT
) STRICT;

-- The studio's recipes of finishes (JSON): only ever added to.
CREATE TABLE recipe (
    id         INTEGER PRIMARY KEY,
    finish_id  INTEGER NOT NULL REFERENCES finish (id) ON DELETE RESTRICT,
    written_at TEXT NOT NULL,
    digest     TEXT NOT NULL,
    recipe     TEXT NOT NULL,
    seal       TEXT
) STRICT;
CREATE INDEX recipe_of_finish ON recipe (finish_id);

-- The samples that were signed, with the studio's own allowances (JSON, measure to allowance), the signed pieces that limit
-- them, and how much they are meant to vary.
CREATE TABLE approval (
    finish_id   INTEGER PRIMARY KEY REFERENCES finish (id) ON DELETE RESTRICT,
    approved_at TEXT NOT NULL,
    allowances  TEXT NOT NULL,
    light_id    INTEGER REFERENCES finish (id) ON DELETE RESTRICT,
    dark_id     INTEGER REFERENCES finish (id) ON DELETE RESTRICT,
    variety     TEXT,
    seal        TEXT
) STRICT;

-- What the maker decided against the program, and why: only ever added to. `question` is the digest of what was asked; where it
-- is null the decision answers no later question.
CREATE TABLE overruling (
    id           INTEGER PRIMARY KEY,
    made_at      TEXT NOT NULL,
    sample_id    INTEGER NOT NULL REFERENCES finish (id) ON DELETE RESTRICT,
    panel        TEXT NOT NULL,
    photo_digest TEXT NOT NULL,
    found        TEXT NOT NULL,
    decided      TEXT NOT NULL,
    reason       TEXT NOT NULL,
    seal         TEXT,
    question     TEXT
) STRICT;
CREATE INDEX overruling_of_photo ON overruling (photo_digest, sample_id);

-- The studio's ladders: kept finishes from light to heavy.
CREATE TABLE ladder_step (
    ladder    TEXT NOT NULL,
    place     INTEGER NOT NULL,
    step      TEXT NOT NULL,
    finish_id INTEGER NOT NULL REFERENCES finish (id) ON DELETE RESTRICT,
    seal      TEXT,
    PRIMARY KEY (ladder, place)
) STRICT, WITHOUT ROWID;

-- Rigs: the light and the patches of a fixed corner (JSON).
CREATE TABLE rig (
    name    TEXT PRIMARY KEY,
    made_at TEXT NOT NULL,
    rig     TEXT NOT NULL,
    seal    TEXT
) STRICT, WITHOUT ROWID;

-- Studies of rigs: how far readings of one panel lie apart (JSON). A rig made again is another corner and loses its study.
CREATE TABLE rig_study (
    rig        TEXT PRIMARY KEY REFERENCES rig (name) ON DELETE CASCADE,
    studied_at TEXT NOT NULL,
    study      TEXT NOT NULL,
    seal       TEXT
) STRICT, WITHOUT ROWID;

-- Rigs that another of the same name took the place of, each with its study, for what was read with them.
CREATE TABLE earlier_rig (
    id         INTEGER PRIMARY KEY,
    name       TEXT NOT NULL,
    made_at    TEXT NOT NULL,
    rig        TEXT NOT NULL,
    studied_at TEXT,
    study      TEXT,
    seal       TEXT
) STRICT;
CREATE INDEX earlier_rig_of_name ON earlier_rig (name);

CREATE INDEX unsealed_approval ON approval (finish_id) WHERE seal IS NULL;
CREATE INDEX unsealed_finish ON finish (id) WHERE seal IS NULL;
CREATE INDEX unsealed_look ON look (finish_id) WHERE seal IS NULL;
CREATE INDEX unsealed_overruling ON overruling (id) WHERE seal IS NULL;
CREATE INDEX unsealed_photo ON photo (finish_id) WHERE seal IS NULL;
CREATE INDEX unsealed_reading ON reading (id) WHERE seal IS NULL;
CREATE INDEX unsealed_recipe ON recipe (id) WHERE seal IS NULL;
