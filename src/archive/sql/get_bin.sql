SELECT finish.name AS bears, bin.name, bin.removed_at, finish.kept_at,
       bin.seal IS blake3(json_array(bin.finish_id, bin.name, bin.removed_at)) AS unchanged
FROM bin JOIN finish ON finish.id = bin.finish_id
ORDER BY bin.removed_at, bin.finish_id
