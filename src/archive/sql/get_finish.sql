SELECT finish.id, name, kept_at, photo_name, fingerprint, notes, approved_at, allowances
FROM finish
LEFT JOIN approval ON approval.finish_id = finish.id
