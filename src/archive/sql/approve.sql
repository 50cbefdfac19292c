INSERT INTO approval (finish_id, approved_at, allowances)
VALUES (?1, ?2, ?3)
ON CONFLICT (finish_id) DO UPDATE SET allowances = json_patch(allowances, excluded.allowances)
