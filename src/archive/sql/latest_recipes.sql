SELECT finish.name, recipe.written_at, recipe.digest, recipe.recipe
FROM finish JOIN recipe ON recipe.id = (SELECT max(id) FROM recipe WHERE recipe.finish_id = finish.id)
WHERE finish.id NOT IN (SELECT finish_id FROM bin)
ORDER BY finish.kept_at, finish.name
