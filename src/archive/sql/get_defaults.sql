SELECT key, value, seal IS blake3(json_array(key, value)) AS unchanged
FROM studio_default
ORDER BY key
