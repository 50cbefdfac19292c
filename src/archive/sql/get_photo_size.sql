SELECT length(file.bytes)
FROM finish
JOIN photo ON photo.finish_id = finish.id
JOIN file ON file.digest = photo.digest
WHERE finish.name = ?1
