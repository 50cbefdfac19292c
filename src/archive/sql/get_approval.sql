SELECT approval.approved_at, approval.allowances, approval.variety, light.name AS light, dark.name AS dark,
       signature.signed_by, signature.signed_at,
       approval.seal IS blake3(json_array(approval.finish_id, approval.approved_at, approval.allowances, approval.light_id, approval.dark_id, approval.variety))
           AND (signature.finish_id IS NULL OR signature.seal IS blake3(json_array(signature.finish_id, signature.signed_by, signature.signed_at)))
           AS unchanged
FROM approval
JOIN finish ON finish.id = approval.finish_id
LEFT JOIN signature ON signature.finish_id = approval.finish_id
LEFT JOIN finish AS light ON light.id = approval.light_id
LEFT JOIN finish AS dark ON dark.id = approval.dark_id
WHERE finish.name = ?1
