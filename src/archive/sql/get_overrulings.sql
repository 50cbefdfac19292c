SELECT overruling.made_at, finish.name AS sample, overruling.panel, overruling.photo_digest,
       overruling.found, overruling.decided, overruling.reason, overruling.question,
       overruling.seal IS blake3(json_array(overruling.id, overruling.made_at, overruling.sample_id, overruling.panel, overruling.photo_digest, overruling.found, overruling.decided, overruling.reason, overruling.question))
           AS unchanged
FROM overruling JOIN finish ON finish.id = overruling.sample_id
WHERE (?1 IS NULL OR finish.name = ?1) AND (?2 IS NULL OR overruling.photo_digest = ?2)
ORDER BY overruling.id
