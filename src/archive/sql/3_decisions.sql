-- The signed pieces that limit a finish, and how much it is meant to vary.
ALTER TABLE approval ADD COLUMN light_id INTEGER REFERENCES finish (id) ON DELETE RESTRICT;
ALTER TABLE approval ADD COLUMN dark_id INTEGER REFERENCES finish (id) ON DELETE RESTRICT;
ALTER TABLE approval ADD COLUMN variety TEXT;

-- What the maker decided against the program, and why. Only ever added to.
CREATE TABLE overruling (
    id           INTEGER PRIMARY KEY,
    made_at      TEXT NOT NULL,
    sample_id    INTEGER NOT NULL REFERENCES finish (id) ON DELETE RESTRICT,
    panel        TEXT NOT NULL,
    photo_digest TEXT NOT NULL,
    found        TEXT NOT NULL,
    decided      TEXT NOT NULL,
    reason       TEXT NOT NULL
) STRICT;
CREATE INDEX overruling_of_photo ON overruling (photo_digest, sample_id);

-- The studio's ladders: kept finishes from light to heavy.
CREATE TABLE ladder_step (
    ladder    TEXT NOT NULL,
    place     INTEGER NOT NULL,
    step      TEXT NOT NULL,
    finish_id INTEGER NOT NULL REFERENCES finish (id) ON DELETE RESTRICT,
    PRIMARY KEY (ladder, place)
) STRICT, WITHOUT ROWID;

-- Each finish as a point among looks, so that the nearest are found without opening every fingerprint.
CREATE TABLE look (
    finish_id INTEGER PRIMARY KEY REFERENCES finish (id) ON DELETE CASCADE,
    form      INTEGER NOT NULL,
    kind      TEXT NOT NULL,
    point     BLOB NOT NULL
) STRICT;
