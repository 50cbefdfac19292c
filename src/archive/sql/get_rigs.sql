SELECT rig.name, rig.made_at, rig.rig, rig_study.studied_at, rig_study.study
FROM rig LEFT JOIN rig_study ON rig_study.rig = rig.name
WHERE ?1 IS NULL OR rig.name = ?1
ORDER BY rig.name
