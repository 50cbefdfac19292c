SELECT recipe.written_at, recipe.digest, recipe.recipe
FROM recipe JOIN finish ON finish.id = recipe.finish_id
WHERE finish.name = ?1
ORDER BY recipe.id
