SELECT approval.approved_at, approval.allowances, approval.variety, light.name AS light, dark.name AS dark,
       approval.seal IS blake3(json_array(approval.finish_id, approval.approved_at, approval.allowances, approval.light_id, approval.dark_id, approval.variety))
           AS unchanged
FROM approval
JOIN finish ON finish.id = approval.finish_id
LEFT JOIN finish AS light ON light.id = approval.light_id
LEFT JOIN finish AS dark ON dark.id = approval.dark_id
WHERE finish.name = ?1
