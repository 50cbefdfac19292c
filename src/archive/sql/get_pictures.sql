SELECT reading.silver_map, reading.picture
FROM finish JOIN reading ON reading.id = finish.reading_id
WHERE finish.name = ?1
