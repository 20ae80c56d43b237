-- A refresh token is made from its family and generation under a key: with the key's id an answer that was lost can be
-- given again.
ALTER TABLE sessions ADD COLUMN made_under TEXT;
CREATE UNIQUE INDEX sessions_by_generation ON sessions (family, generation);
