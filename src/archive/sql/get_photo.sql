SELECT photo.digest
FROM photo JOIN finish ON finish.id = photo.finish_id
WHERE finish.name = ?1
