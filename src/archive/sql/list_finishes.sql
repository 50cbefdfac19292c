SELECT finish.name, finish.kept_at, finish.photo_name, finish.version, finish.coverage,
       finish.aggressiveness, finish.notes, approval.approved_at
FROM finish LEFT JOIN approval ON approval.finish_id = finish.id
ORDER BY finish.id
