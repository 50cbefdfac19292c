SELECT ladder_step.step, finish.name AS finish,
       ladder_step.seal IS blake3(json_array(ladder_step.ladder, ladder_step.place, ladder_step.step, ladder_step.finish_id))
           AS unchanged
FROM ladder_step LEFT JOIN finish ON finish.id = ladder_step.finish_id
WHERE ladder_step.ladder = ?1
ORDER BY ladder_step.place
