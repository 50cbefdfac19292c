SELECT finish.name, finish.kept_at, finish.photo_name, finish.version, finish.coverage,
       finish.aggressiveness, finish.notes, approval.approved_at,
       EXISTS (SELECT 1 FROM recipe WHERE recipe.finish_id = finish.id) AS has_recipe,
       (SELECT json_group_array(tag) FROM tag WHERE tag.finish_id = finish.id) AS tags
FROM finish LEFT JOIN approval ON approval.finish_id = finish.id
WHERE finish.id NOT IN (SELECT finish_id FROM bin)
