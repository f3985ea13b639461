-- A large edition is written a piece at a time, so that other writes come in between. Until all of it is there, it is
-- no edition to anybody: every query of editions asks for whole ones.

ALTER TABLE editions ADD COLUMN is_whole INTEGER NOT NULL DEFAULT 1 CHECK (is_whole IN (0, 1));

CREATE TRIGGER editions_whole BEFORE UPDATE ON editions
WHEN NEW.is_whole = 0 AND NEW.state <> 'draft'
BEGIN SELECT RAISE(ABORT, 'an edition that is not whole is a draft'); END;
