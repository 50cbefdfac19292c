-- What a decision answered: the digest of the photo, size, stage, side, rig and version that were set beside the sample. A decision
-- from before does not say, and answers no later question. A seal that was sound is made anew over what a row says now; one that
-- was broken stays broken.
ALTER TABLE overruling ADD COLUMN question TEXT;
UPDATE overruling SET seal = NULL
    WHERE seal IS blake3(json_array(id, made_at, sample_id, panel, photo_digest, found, decided, reason));
