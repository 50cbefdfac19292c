INSERT OR REPLACE INTO look (finish_id, form, kind, point)
VALUES (?1, ?2, ?3, ?4)
