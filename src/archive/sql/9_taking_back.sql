-- What is taken back. Nothing that was kept is rewritten: the tables stand beside those that there are.

-- What was changed or taken back, and what was said before: only ever added to. `before` and `after` are JSON. `finish_id` is
-- null where it was a rig or a ladder, or where the finish has left the bin for good.
CREATE TABLE change (
    id        INTEGER PRIMARY KEY,
    made_at   TEXT NOT NULL,
    thing     TEXT NOT NULL,
    name      TEXT NOT NULL,
    done      TEXT NOT NULL,
    before    TEXT NOT NULL,
    after     TEXT NOT NULL,
    reason    TEXT NOT NULL,
    finish_id INTEGER REFERENCES finish (id) ON DELETE RESTRICT,
    seal      TEXT
) STRICT;
CREATE INDEX change_of_finish ON change (finish_id);

-- The bin: finishes that were removed, each with the name it had. In `finish` it bears another, so that the name is free.
CREATE TABLE bin (
    finish_id  INTEGER PRIMARY KEY REFERENCES finish (id) ON DELETE RESTRICT,
    name       TEXT NOT NULL,
    removed_at TEXT NOT NULL,
    seal       TEXT
) STRICT;

-- Words that finishes are sorted by.
CREATE TABLE tag (
    finish_id INTEGER NOT NULL REFERENCES finish (id) ON DELETE RESTRICT,
    tag       TEXT NOT NULL,
    seal      TEXT,
    PRIMARY KEY (finish_id, tag)
) STRICT, WITHOUT ROWID;

-- Who signed an approved sample, and when.
CREATE TABLE signature (
    finish_id INTEGER PRIMARY KEY REFERENCES approval (finish_id) ON DELETE RESTRICT,
    signed_by TEXT NOT NULL,
    signed_at TEXT NOT NULL,
    seal      TEXT
) STRICT;

CREATE INDEX unsealed_bin ON bin (finish_id) WHERE seal IS NULL;
CREATE INDEX unsealed_change ON change (id) WHERE seal IS NULL;
CREATE INDEX unsealed_signature ON signature (finish_id) WHERE seal IS NULL;
CREATE INDEX unsealed_tag ON tag (finish_id, tag) WHERE seal IS NULL;
