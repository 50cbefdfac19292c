SELECT finish.name
FROM job JOIN job_panel ON job_panel.job_id = job.id JOIN finish ON finish.id = job_panel.finish_id
WHERE job.name = ?1 AND finish.photo_digest = ?2 AND finish.id NOT IN (SELECT finish_id FROM bin)
ORDER BY job_panel.place
