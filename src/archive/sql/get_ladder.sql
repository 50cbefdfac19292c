SELECT ladder_step.step, finish.name AS finish
FROM ladder_step LEFT JOIN finish ON finish.id = ladder_step.finish_id
WHERE ladder_step.ladder = ?1
ORDER BY ladder_step.place
