SELECT version, settings_digest, stage, coverage, aggressiveness,
       reading_id IS (SELECT max(reading.id) FROM reading WHERE reading.finish_id = finish.id) AS latest
FROM finish
WHERE name = ?1
