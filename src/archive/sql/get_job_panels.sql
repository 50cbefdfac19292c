SELECT finish.name AS finish,
       job_panel.seal IS blake3(json_array(job_panel.job_id, job_panel.place, job_panel.finish_id))
           AS unchanged
FROM job_panel JOIN finish ON finish.id = job_panel.finish_id
WHERE job_panel.job_id = ?1 AND job_panel.finish_id NOT IN (SELECT finish_id FROM bin)
ORDER BY job_panel.place
