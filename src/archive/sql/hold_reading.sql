UPDATE finish SET
    reading_id = ?2, settings_digest = ?3, version = ?4, stage = ?5, coverage = ?6, aggressiveness = ?7
WHERE id = ?1
