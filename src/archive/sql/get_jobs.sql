SELECT job.id, job.name, job.opened_at, job.closed_at, finish.name AS sample, job.rig, job.details,
       job.seal IS blake3(json_array(job.id, job.name, job.opened_at, job.closed_at, job.sample_id, job.rig, job.details))
           AS unchanged
FROM job LEFT JOIN finish ON finish.id = job.sample_id
WHERE ?1 IS NULL OR job.name = ?1
ORDER BY job.id
