INSERT INTO ladder_step (ladder, place, step, finish_id)
VALUES (?1, ?2, ?3, ?4)
