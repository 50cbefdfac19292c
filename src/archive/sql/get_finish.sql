SELECT finish.kept_at, finish.photo_name, finish.photo_digest, finish.notes, photo.digest AS photo,
       finish.seal IS blake3(json_array(finish.id, finish.name, finish.kept_at, finish.photo_name, finish.photo_digest, finish.notes))
           AS unchanged
FROM finish LEFT JOIN photo ON photo.finish_id = finish.id
WHERE finish.name = ?1
