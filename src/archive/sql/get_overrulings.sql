SELECT overruling.made_at, finish.name AS sample, overruling.panel, overruling.photo_digest,
       overruling.found, overruling.decided, overruling.reason
FROM overruling JOIN finish ON finish.id = overruling.sample_id
WHERE (?1 IS NULL OR finish.name = ?1) AND (?2 IS NULL OR overruling.photo_digest = ?2)
ORDER BY overruling.id
