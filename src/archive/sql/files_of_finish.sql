SELECT silver_map FROM reading WHERE finish_id = ?1
UNION SELECT picture FROM reading WHERE finish_id = ?1
UNION SELECT colour FROM reading WHERE finish_id = ?1 AND colour IS NOT NULL
UNION SELECT digest FROM photo WHERE finish_id = ?1
