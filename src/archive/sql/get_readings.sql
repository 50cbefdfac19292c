-- All readings of a finish, or, where ?2 is true, only the one that holds.
SELECT reading.read_at, reading.source, reading.fingerprint, reading.fingerprint_digest,
       reading.silver_map, reading.picture, reading.colour
FROM reading JOIN finish ON finish.id = reading.finish_id
WHERE finish.name = ?1 AND (NOT ?2 OR reading.id = finish.reading_id)
ORDER BY reading.id
