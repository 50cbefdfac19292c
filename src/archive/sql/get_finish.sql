SELECT finish.id, finish.name, finish.kept_at, finish.photo_name, finish.fingerprint, finish.notes,
       approval.approved_at, approval.allowances, approval.variety, light.name AS light, dark.name AS dark
FROM finish
LEFT JOIN approval ON approval.finish_id = finish.id
LEFT JOIN finish AS light ON light.id = approval.light_id
LEFT JOIN finish AS dark ON dark.id = approval.dark_id
