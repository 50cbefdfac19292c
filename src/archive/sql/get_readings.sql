SELECT reading.read_at, reading.source, reading.fingerprint, reading.fingerprint_digest,
       reading.silver_map, reading.picture, reading.colour
FROM reading JOIN finish ON finish.id = reading.finish_id
WHERE finish.name = ?1
ORDER BY reading.id
