-- The studio's own recipes of finishes, as JSON. Only ever added to: the latest of a finish holds, the earlier ones stay.
CREATE TABLE recipe (
    id         INTEGER PRIMARY KEY,
    finish_id  INTEGER NOT NULL REFERENCES finish (id) ON DELETE RESTRICT,
    written_at TEXT NOT NULL,
    digest     TEXT NOT NULL,
    recipe     TEXT NOT NULL
) STRICT;
CREATE INDEX recipe_of_finish ON recipe (finish_id);
