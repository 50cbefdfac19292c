SELECT finish.kept_at, finish.photo_name, finish.photo_digest, finish.notes, photo.digest AS photo
FROM finish LEFT JOIN photo ON photo.finish_id = finish.id
WHERE finish.name = ?1
