-- Rigs that were made again: each that another took the place of, for what was read with it.
CREATE TABLE earlier_rig (
    id         INTEGER PRIMARY KEY,
    name       TEXT NOT NULL,
    made_at    TEXT NOT NULL,
    rig        TEXT NOT NULL,
    studied_at TEXT,
    study      TEXT
) STRICT;
CREATE INDEX earlier_rig_of_name ON earlier_rig (name);

-- The seal of a row is the digest of what it says. Every row has one before the change that wrote it is done.
ALTER TABLE approval ADD COLUMN seal TEXT;
ALTER TABLE earlier_rig ADD COLUMN seal TEXT;
ALTER TABLE finish ADD COLUMN seal TEXT;
ALTER TABLE ladder_step ADD COLUMN seal TEXT;
ALTER TABLE look ADD COLUMN seal TEXT;
ALTER TABLE overruling ADD COLUMN seal TEXT;
ALTER TABLE photo ADD COLUMN seal TEXT;
ALTER TABLE reading ADD COLUMN seal TEXT;
ALTER TABLE recipe ADD COLUMN seal TEXT;
ALTER TABLE rig ADD COLUMN seal TEXT;
ALTER TABLE rig_study ADD COLUMN seal TEXT;
-- What is still to be sealed is found without a look at all the rest.
CREATE INDEX unsealed_approval ON approval (finish_id) WHERE seal IS NULL;
CREATE INDEX unsealed_finish ON finish (id) WHERE seal IS NULL;
CREATE INDEX unsealed_look ON look (finish_id) WHERE seal IS NULL;
CREATE INDEX unsealed_overruling ON overruling (id) WHERE seal IS NULL;
CREATE INDEX unsealed_photo ON photo (finish_id) WHERE seal IS NULL;
CREATE INDEX unsealed_reading ON reading (id) WHERE seal IS NULL;
CREATE INDEX unsealed_recipe ON recipe (id) WHERE seal IS NULL;
