UPDATE job SET
    name = ?2, closed_at = ?3, sample_id = ?4, rig = ?5, details = ?6, seal = NULL
WHERE name = ?1
