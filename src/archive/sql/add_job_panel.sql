INSERT INTO job_panel (job_id, place, finish_id)
VALUES (?1, (SELECT coalesce(max(place), 0) + 1 FROM job_panel WHERE job_id = ?1), ?2)
