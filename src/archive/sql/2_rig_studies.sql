-- Studies of rigs: how far readings of one panel lie apart (JSON). A rig made again is another corner and loses its study.
CREATE TABLE rig_study (
    rig        TEXT PRIMARY KEY REFERENCES rig (name) ON DELETE CASCADE,
    studied_at TEXT NOT NULL,
    study      TEXT NOT NULL
) STRICT, WITHOUT ROWID;
