SELECT finish.name, finish.kept_at, finish.photo_name, finish.version, finish.notes,
       reading.fingerprint, reading.fingerprint_digest,
       approval.approved_at, approval.allowances, approval.variety, light.name AS light, dark.name AS dark,
       approval.seal IS blake3(json_array(approval.finish_id, approval.approved_at, approval.allowances, approval.light_id, approval.dark_id, approval.variety)) AS approval_sound
FROM finish
LEFT JOIN reading ON reading.id = finish.reading_id AND reading.finish_id = finish.id
LEFT JOIN approval ON approval.finish_id = finish.id
LEFT JOIN finish AS light ON light.id = approval.light_id
LEFT JOIN finish AS dark ON dark.id = approval.dark_id
WHERE finish.name = ?1
