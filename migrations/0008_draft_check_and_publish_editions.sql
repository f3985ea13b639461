-- The life of an edition between its loading and its publication, and the sample requests kept with a catalogue.

-- The edition that the content was made from by changes; absent when the content came as a whole.
ALTER TABLE editions ADD COLUMN base_edition INTEGER;
-- The edition that was published when the draft was checked, 0 for none; absent until it is checked.
ALTER TABLE editions ADD COLUMN checked_against INTEGER;
-- When it was last published, and who loaded and published it, by name.
ALTER TABLE editions ADD COLUMN published_at TEXT;
ALTER TABLE editions ADD COLUMN created_by TEXT NOT NULL DEFAULT '';
ALTER TABLE editions ADD COLUMN published_by TEXT NOT NULL DEFAULT '';

CREATE TABLE sample_requests (
    edition INTEGER NOT NULL REFERENCES editions (number) ON DELETE CASCADE,
    name    TEXT    NOT NULL CHECK (name <> ''),
    request TEXT    NOT NULL CHECK (length(request) <= 65536), -- SAMPLE_BYTES_MAX
    PRIMARY KEY (edition, name)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER sample_requests_add BEFORE INSERT ON sample_requests
WHEN EXISTS (SELECT 1 FROM editions WHERE number = NEW.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER sample_requests_change BEFORE UPDATE ON sample_requests
WHEN EXISTS (SELECT 1 FROM editions WHERE number IN (OLD.edition, NEW.edition) AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER sample_requests_remove BEFORE DELETE ON sample_requests
WHEN EXISTS (SELECT 1 FROM editions WHERE number = OLD.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

-- A published edition is retired by the next one, and published again to roll back. Nothing else of it changes.
DROP TRIGGER editions_stand;

CREATE TRIGGER editions_stand BEFORE UPDATE ON editions
WHEN OLD.state IN ('published', 'retired') AND NOT (
    ((OLD.state = 'published' AND NEW.state = 'retired') OR (OLD.state = 'retired' AND NEW.state = 'published'))
    AND NEW.number = OLD.number AND NEW.created_at = OLD.created_at AND NEW.content_hash = OLD.content_hash
    AND NEW.base_edition IS OLD.base_edition AND NEW.checked_against IS OLD.checked_against
    AND NEW.created_by = OLD.created_by
)
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;
