-- Jobs: what is said again and again of the panels of one order, and the panels made for it in order of making. `sample_id` and
-- the panels are finishes by their row, so that another name of a finish changes nothing here; `rig` is a rig's name, and
-- `details` the rest (JSON).
CREATE TABLE job (
    id        INTEGER PRIMARY KEY,
    name      TEXT NOT NULL UNIQUE,
    opened_at TEXT NOT NULL,
    closed_at TEXT,
    sample_id INTEGER REFERENCES finish (id) ON DELETE RESTRICT,
    rig       TEXT,
    details   TEXT NOT NULL,
    seal      TEXT
) STRICT;

CREATE TABLE job_panel (
    job_id    INTEGER NOT NULL REFERENCES job (id) ON DELETE RESTRICT,
    place     INTEGER NOT NULL,
    finish_id INTEGER NOT NULL REFERENCES finish (id) ON DELETE RESTRICT,
    seal      TEXT,
    PRIMARY KEY (job_id, place)
) STRICT, WITHOUT ROWID;
CREATE INDEX job_panel_of_finish ON job_panel (finish_id);

-- What holds in the studio where neither a job nor anything typed says otherwise (`value` is JSON), and the name of the current
-- job under `job`.
CREATE TABLE studio_default (
    key   TEXT PRIMARY KEY,
    value TEXT NOT NULL,
    seal  TEXT
) STRICT, WITHOUT ROWID;
