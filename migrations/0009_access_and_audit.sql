-- Keys of callers, whose quotes are whose, and the audit trail.
--
-- A key is kept as a hash keyed with a secret that is not in this file. Instants are whole milliseconds since 1970 in
-- universal time (…_ms). Lists are words parted by single spaces, in order.

CREATE TABLE access_keys (
    id                  TEXT    NOT NULL PRIMARY KEY CHECK (length(id) = 12),
    hash                TEXT    NOT NULL CHECK (length(hash) = 64),
    label               TEXT    NOT NULL,
    account             TEXT    NOT NULL CHECK (1 <= length(account) AND length(account) <= 40),
    scopes              TEXT    NOT NULL CHECK (scopes <> ''),
    origins             TEXT    NOT NULL,
    markets             TEXT    NOT NULL, -- '*' for all
    tier                TEXT    NOT NULL CHECK (tier IN ('retail', 'trade', 'merchant')),
    tier_best           TEXT    NOT NULL CHECK (tier_best IN ('retail', 'trade', 'merchant')),
    discount_ceiling_bp INTEGER NOT NULL CHECK (0 <= discount_ceiling_bp AND discount_ceiling_bp <= 10000),
    overrides           INTEGER NOT NULL CHECK (overrides IN (0, 1)),
    per_minute          INTEGER NOT NULL CHECK (1 <= per_minute AND per_minute <= 6000000),
    created_ms          INTEGER NOT NULL,
    ends_ms             INTEGER,
    revoked_ms          INTEGER,
    successor           TEXT REFERENCES access_keys (id),
    CHECK ((origins <> '') = (scopes = 'browse'))
) STRICT, WITHOUT ROWID;

-- When a key was last used, coarsely: written now and then, not with each request.
CREATE TABLE access_key_uses (
    key_id  TEXT    NOT NULL PRIMARY KEY REFERENCES access_keys (id),
    used_ms INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

-- Counts up with every change of a key, so that a running service sees what the command line did.
CREATE TABLE access_key_changes (
    only_row INTEGER NOT NULL PRIMARY KEY CHECK (only_row = 1),
    count    INTEGER NOT NULL
) STRICT;

INSERT INTO access_key_changes (only_row, count) VALUES (1, 0);

CREATE TRIGGER access_keys_count_new AFTER INSERT ON access_keys
BEGIN UPDATE access_key_changes SET count = count + 1; END;

CREATE TRIGGER access_keys_count_changed AFTER UPDATE ON access_keys
BEGIN UPDATE access_key_changes SET count = count + 1; END;

-- What a key grants never changes; it only ends, sooner than it would have, and once ended stays so.
CREATE TRIGGER access_keys_stand BEFORE UPDATE ON access_keys
WHEN NOT (
    NEW.id = OLD.id AND NEW.hash = OLD.hash AND NEW.label = OLD.label AND NEW.account = OLD.account
    AND NEW.scopes = OLD.scopes AND NEW.origins = OLD.origins AND NEW.markets = OLD.markets AND NEW.tier = OLD.tier
    AND NEW.tier_best = OLD.tier_best
    AND NEW.discount_ceiling_bp = OLD.discount_ceiling_bp AND NEW.overrides = OLD.overrides
    AND NEW.per_minute = OLD.per_minute AND NEW.created_ms = OLD.created_ms
    AND (OLD.revoked_ms IS NULL OR NEW.revoked_ms IS OLD.revoked_ms)
    AND (OLD.successor IS NULL OR NEW.successor IS OLD.successor)
    AND (OLD.ends_ms IS NULL OR (NEW.ends_ms IS NOT NULL AND NEW.ends_ms <= OLD.ends_ms))
)
BEGIN SELECT RAISE(ABORT, 'what a key grants does not change'); END;

CREATE TRIGGER access_keys_keep BEFORE DELETE ON access_keys
BEGIN SELECT RAISE(ABORT, 'a key is revoked, not removed'); END;

-- Whose a quote is. What is older than accounts belongs to the seller's own.
ALTER TABLE quotes ADD COLUMN account TEXT NOT NULL DEFAULT 'house' CHECK (1 <= length(account) AND length(account) <= 40);

CREATE INDEX quotes_by_account ON quotes (account, id);

CREATE TRIGGER quotes_stay_with_their_account BEFORE UPDATE ON quotes
WHEN NEW.account <> OLD.account
BEGIN SELECT RAISE(ABORT, 'a quote is immutable'); END;

-- Every revision of a number belongs to one account.
CREATE TRIGGER quotes_share_their_account BEFORE INSERT ON quotes
WHEN EXISTS (SELECT 1 FROM quotes WHERE number = NEW.number AND account <> NEW.account)
BEGIN SELECT RAISE(ABORT, 'a revision belongs to the account of its quote'); END;

-- A key of a repeated request is good for its account only; the account stands before the route.
UPDATE idempotency_keys SET scope = 'house ' || scope;

-- Who did what when. Each row carries the hash of the row before, so that a change, a gap or another order shows.
CREATE TABLE audit_entries (
    sequence      INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    at_ms         INTEGER NOT NULL,
    actor         TEXT    NOT NULL,
    account       TEXT    NOT NULL,
    action        TEXT    NOT NULL CHECK (action <> ''),
    subject       TEXT    NOT NULL,
    detail        TEXT    NOT NULL,
    previous_hash TEXT    NOT NULL CHECK (length(previous_hash) = 64),
    hash          TEXT    NOT NULL CHECK (length(hash) = 64)
) STRICT;

CREATE TRIGGER audit_entries_follow BEFORE INSERT ON audit_entries
WHEN NEW.sequence <> (SELECT coalesce(max(sequence), 0) + 1 FROM audit_entries)
BEGIN SELECT RAISE(ABORT, 'an audit entry follows the last one'); END;

CREATE TRIGGER audit_entries_stand BEFORE UPDATE ON audit_entries
BEGIN SELECT RAISE(ABORT, 'an audit entry is never changed'); END;

CREATE TRIGGER audit_entries_keep BEFORE DELETE ON audit_entries
BEGIN SELECT RAISE(ABORT, 'an audit entry is never removed'); END;
