-- What a market's papers say of the seller, line by line; and quotes of up to 5,000 lines.
--
-- SQLite cannot change a CHECK in place, so the tables of quotes are made again with the same rows and the same guards.

CREATE TABLE seller_lines (
    edition     INTEGER NOT NULL REFERENCES editions (number) ON DELETE CASCADE,
    market_code TEXT    NOT NULL,
    kind        TEXT    NOT NULL CHECK (
        kind IN ('name', 'address', 'contact', 'tax_number', 'guarantee', 'guarantee_ends', 'claims', 'terms')
    ),
    position    INTEGER NOT NULL CHECK (0 <= position AND position <= 65535),
    text        TEXT    NOT NULL CHECK (text <> ''),
    PRIMARY KEY (edition, market_code, kind, position),
    FOREIGN KEY (edition, market_code) REFERENCES markets (edition, code)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER seller_lines_add BEFORE INSERT ON seller_lines
WHEN EXISTS (SELECT 1 FROM editions WHERE number = NEW.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER seller_lines_change BEFORE UPDATE ON seller_lines
WHEN EXISTS (SELECT 1 FROM editions WHERE number IN (OLD.edition, NEW.edition) AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER seller_lines_remove BEFORE DELETE ON seller_lines
WHEN EXISTS (SELECT 1 FROM editions WHERE number = OLD.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

DROP INDEX quotes_drafted;
DROP INDEX quotes_issued;
DROP INDEX quotes_accepted;
DROP INDEX quotes_by_state;
DROP INDEX quotes_by_customer;
DROP INDEX quote_rooms_by_name;
DROP TRIGGER quotes_stand;
DROP TRIGGER quotes_keep;
DROP TRIGGER quotes_begin_as_drafts;
DROP TRIGGER quote_rooms_add;
DROP TRIGGER quote_rooms_change;
DROP TRIGGER quote_rooms_remove;
DROP TRIGGER quote_lines_add;
DROP TRIGGER quote_lines_change;
DROP TRIGGER quote_lines_remove;
DROP TRIGGER quote_events_change;
DROP TRIGGER quote_events_remove;

ALTER TABLE quotes RENAME TO quotes_before;
ALTER TABLE quote_rooms RENAME TO quote_rooms_before;
ALTER TABLE quote_lines RENAME TO quote_lines_before;
ALTER TABLE quote_events RENAME TO quote_events_before;

CREATE TABLE quotes (
    id                 INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    number             TEXT    NOT NULL CHECK (number <> ''),
    revision           INTEGER NOT NULL CHECK (1 <= revision),
    predecessor        INTEGER CHECK (predecessor < revision),
    state              TEXT    NOT NULL CHECK (state IN ('draft', 'issued', 'accepted', 'withdrawn', 'superseded')),
    state_version      INTEGER NOT NULL CHECK (1 <= state_version),
    market_code        TEXT    NOT NULL CHECK (market_code <> ''),
    customer_reference TEXT,
    edition_number     INTEGER NOT NULL,
    price_list_code    TEXT    NOT NULL,
    currency           TEXT    NOT NULL CHECK (length(currency) = 3),
    gross_minor        INTEGER NOT NULL,
    line_count         INTEGER NOT NULL CHECK (1 <= line_count AND line_count <= 5000),
    valid_until        TEXT    NOT NULL CHECK (valid_until IS date(valid_until)),
    created_ms         INTEGER NOT NULL,
    expires_ms         INTEGER NOT NULL,
    issued_ms          INTEGER,
    accepted_ms        INTEGER,
    accepted_by        TEXT,
    withdrawn_ms       INTEGER,
    withdrawn_because  TEXT,
    changes            TEXT    NOT NULL,
    content            TEXT    NOT NULL,
    content_hash       TEXT    NOT NULL CHECK (length(content_hash) = 64),
    UNIQUE (number, revision),
    CHECK ((accepted_ms IS NOT NULL) = (state = 'accepted')),
    CHECK ((accepted_by IS NOT NULL) = (state = 'accepted')),
    CHECK ((withdrawn_ms IS NOT NULL) = (state = 'withdrawn')),
    CHECK ((withdrawn_because IS NOT NULL) = (state = 'withdrawn')),
    CHECK (state <> 'issued' OR issued_ms IS NOT NULL),
    CHECK (state <> 'accepted' OR issued_ms IS NOT NULL)
) STRICT;

CREATE TABLE quote_rooms (
    quote_id INTEGER NOT NULL REFERENCES quotes (id),
    position INTEGER NOT NULL CHECK (0 <= position),
    name     TEXT    NOT NULL,
    PRIMARY KEY (quote_id, position)
) STRICT, WITHOUT ROWID;

CREATE TABLE quote_lines (
    quote_id      INTEGER NOT NULL REFERENCES quotes (id),
    position      INTEGER NOT NULL CHECK (0 <= position),
    room_position INTEGER NOT NULL,
    sku           TEXT    NOT NULL,
    quantity      INTEGER NOT NULL CHECK (1 <= quantity),
    unit_net_e4   INTEGER NOT NULL,
    net_minor     INTEGER NOT NULL,
    PRIMARY KEY (quote_id, position),
    FOREIGN KEY (quote_id, room_position) REFERENCES quote_rooms (quote_id, position)
) STRICT, WITHOUT ROWID;

CREATE TABLE quote_events (
    number   TEXT    NOT NULL,
    sequence INTEGER NOT NULL CHECK (1 <= sequence),
    revision INTEGER NOT NULL,
    kind     TEXT    NOT NULL CHECK (kind IN ('drafted', 'issued', 'accepted', 'withdrawn', 'superseded')),
    at_ms    INTEGER NOT NULL,
    note     TEXT    NOT NULL,
    PRIMARY KEY (number, sequence),
    FOREIGN KEY (number, revision) REFERENCES quotes (number, revision)
) STRICT, WITHOUT ROWID;

INSERT INTO quotes SELECT * FROM quotes_before;
INSERT INTO quote_rooms SELECT * FROM quote_rooms_before;
INSERT INTO quote_lines SELECT * FROM quote_lines_before;
INSERT INTO quote_events SELECT * FROM quote_events_before;

DROP TABLE quote_lines_before;
DROP TABLE quote_rooms_before;
DROP TABLE quote_events_before;
DROP TABLE quotes_before;

-- Of one number, one draft, one offer and one acceptance at a time.
CREATE UNIQUE INDEX quotes_drafted ON quotes (number) WHERE state = 'draft';
CREATE UNIQUE INDEX quotes_issued ON quotes (number) WHERE state = 'issued';
CREATE UNIQUE INDEX quotes_accepted ON quotes (number) WHERE state = 'accepted';
CREATE INDEX quotes_by_state ON quotes (state, id);
CREATE INDEX quotes_by_customer ON quotes (customer_reference, id);

CREATE INDEX quote_rooms_by_name ON quote_rooms (name, quote_id);

-- What is on offer never changes, from the first draft on; the state moves forward only.
CREATE TRIGGER quotes_stand BEFORE UPDATE ON quotes
WHEN NOT (
    NEW.id = OLD.id AND NEW.number = OLD.number AND NEW.revision = OLD.revision
    AND NEW.predecessor IS OLD.predecessor AND NEW.market_code = OLD.market_code
    AND NEW.customer_reference IS OLD.customer_reference AND NEW.edition_number = OLD.edition_number
    AND NEW.price_list_code = OLD.price_list_code AND NEW.currency = OLD.currency
    AND NEW.gross_minor = OLD.gross_minor AND NEW.line_count = OLD.line_count
    AND NEW.valid_until = OLD.valid_until AND NEW.created_ms = OLD.created_ms
    AND NEW.expires_ms = OLD.expires_ms AND NEW.changes = OLD.changes AND NEW.content = OLD.content
    AND NEW.content_hash = OLD.content_hash
    AND NEW.issued_ms IS CASE WHEN OLD.state = 'draft' AND NEW.state = 'issued' THEN NEW.issued_ms ELSE OLD.issued_ms END
    AND NEW.state_version = OLD.state_version + 1
    AND (
        (OLD.state = 'draft' AND NEW.state IN ('issued', 'withdrawn', 'superseded'))
        OR (OLD.state = 'issued' AND NEW.state IN ('accepted', 'withdrawn', 'superseded'))
    )
)
BEGIN SELECT RAISE(ABORT, 'a quote is immutable'); END;

CREATE TRIGGER quotes_keep BEFORE DELETE ON quotes
BEGIN SELECT RAISE(ABORT, 'a quote is immutable'); END;

CREATE TRIGGER quotes_begin_as_drafts BEFORE INSERT ON quotes
WHEN NEW.state <> 'draft' OR NEW.state_version <> 1
BEGIN SELECT RAISE(ABORT, 'a quote begins as a draft'); END;

-- Rooms and lines are written with their quote, before its first event, and never again.
CREATE TRIGGER quote_rooms_add BEFORE INSERT ON quote_rooms
WHEN EXISTS (SELECT 1 FROM quote_events e JOIN quotes q USING (number, revision) WHERE q.id = NEW.quote_id)
BEGIN SELECT RAISE(ABORT, 'a quote is immutable'); END;

CREATE TRIGGER quote_rooms_change BEFORE UPDATE ON quote_rooms
BEGIN SELECT RAISE(ABORT, 'a quote is immutable'); END;

CREATE TRIGGER quote_rooms_remove BEFORE DELETE ON quote_rooms
BEGIN SELECT RAISE(ABORT, 'a quote is immutable'); END;

CREATE TRIGGER quote_lines_add BEFORE INSERT ON quote_lines
WHEN EXISTS (SELECT 1 FROM quote_events e JOIN quotes q USING (number, revision) WHERE q.id = NEW.quote_id)
BEGIN SELECT RAISE(ABORT, 'a quote is immutable'); END;

CREATE TRIGGER quote_lines_change BEFORE UPDATE ON quote_lines
BEGIN SELECT RAISE(ABORT, 'a quote is immutable'); END;

CREATE TRIGGER quote_lines_remove BEFORE DELETE ON quote_lines
BEGIN SELECT RAISE(ABORT, 'a quote is immutable'); END;

CREATE TRIGGER quote_events_change BEFORE UPDATE ON quote_events
BEGIN SELECT RAISE(ABORT, 'the history of a quote is immutable'); END;

CREATE TRIGGER quote_events_remove BEFORE DELETE ON quote_events
BEGIN SELECT RAISE(ABORT, 'the history of a quote is immutable'); END;
