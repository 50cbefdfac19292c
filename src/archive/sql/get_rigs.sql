SELECT rig.name, rig.made_at, rig.rig, rig_study.studied_at, rig_study.study,
       rig.seal IS blake3(json_array(rig.name, rig.made_at, rig.rig))
           AND (rig_study.rig IS NULL OR rig_study.seal IS blake3(json_array(rig_study.rig, rig_study.studied_at, rig_study.study)))
           AS unchanged
FROM rig LEFT JOIN rig_study ON rig_study.rig = rig.name
WHERE ?1 IS NULL OR rig.name = ?1
ORDER BY rig.name
