INSERT INTO approval (finish_id, approved_at, allowances, light_id, dark_id, variety)
VALUES (?1, ?2, ?3, ?4, ?5, ?6)
ON CONFLICT (finish_id) DO UPDATE SET
    allowances = json_patch(allowances, excluded.allowances),
    light_id = coalesce(excluded.light_id, light_id),
    dark_id = coalesce(excluded.dark_id, dark_id),
    variety = coalesce(excluded.variety, variety),
    seal = NULL
