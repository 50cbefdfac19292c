SELECT name, made_at, rig, studied_at, study,
       seal IS blake3(json_array(id, name, made_at, rig, studied_at, study)) AS unchanged
FROM earlier_rig
WHERE ?1 IS NULL OR name = ?1
ORDER BY name, made_at, id
