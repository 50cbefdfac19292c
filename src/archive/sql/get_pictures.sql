SELECT reading.silver_map, reading.picture, reading.colour
FROM finish JOIN reading ON reading.id = finish.reading_id AND reading.finish_id = finish.id
WHERE finish.name = ?1
