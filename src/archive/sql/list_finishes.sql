SELECT finish.name, finish.kept_at, finish.photo_name, finish.version, finish.coverage,
       finish.aggressiveness, finish.notes, approval.approved_at,
       EXISTS (SELECT 1 FROM recipe WHERE recipe.finish_id = finish.id) AS has_recipe
FROM finish LEFT JOIN approval ON approval.finish_id = finish.id
