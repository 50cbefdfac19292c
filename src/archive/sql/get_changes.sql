-- The changes of a finish, or, where ?1 is null, those of rigs, of ladders and of finishes that are gone.
SELECT made_at, thing, name, done, before, after, reason,
       seal IS blake3(json_array(id, made_at, thing, name, done, before, after, reason, finish_id)) AS unchanged
FROM change
WHERE finish_id IS ?1
ORDER BY made_at, id
