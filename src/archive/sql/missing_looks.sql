SELECT finish.id, finish.name
FROM finish
JOIN reading ON reading.id = finish.reading_id AND reading.finish_id = finish.id
LEFT JOIN look ON look.finish_id = finish.id
WHERE finish.version = ?1 AND finish.id > ?4
  AND (look.form IS NOT ?2 OR length(look.point) IS NOT ?3)
ORDER BY finish.id
LIMIT ?5
