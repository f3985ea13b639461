-- A published edition stands for ever, and so does a retired one: no row of it is added, changed or removed.
--
-- An edition is filled as a draft and then published. The only change afterwards is from `published` to `retired`.
-- A draft may be deleted, and its rows go with it: by then its row in `editions` is gone, so no trigger refuses.

CREATE TRIGGER editions_begin_as_drafts BEFORE INSERT ON editions
WHEN NEW.state IN ('published', 'retired')
BEGIN SELECT RAISE(ABORT, 'an edition is filled before it is published'); END;

CREATE TRIGGER editions_keep BEFORE DELETE ON editions
WHEN OLD.state IN ('published', 'retired')
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER editions_stand BEFORE UPDATE ON editions
WHEN OLD.state IN ('published', 'retired') AND NOT (
    OLD.state = 'published' AND NEW.state = 'retired' AND NEW.number = OLD.number
    AND NEW.created_at = OLD.created_at AND NEW.content_hash = OLD.content_hash
)
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER finishes_add BEFORE INSERT ON finishes
WHEN EXISTS (SELECT 1 FROM editions WHERE number = NEW.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER finishes_change BEFORE UPDATE ON finishes
WHEN EXISTS (SELECT 1 FROM editions WHERE number IN (OLD.edition, NEW.edition) AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER finishes_remove BEFORE DELETE ON finishes
WHEN EXISTS (SELECT 1 FROM editions WHERE number = OLD.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER parts_add BEFORE INSERT ON parts
WHEN EXISTS (SELECT 1 FROM editions WHERE number = NEW.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER parts_change BEFORE UPDATE ON parts
WHEN EXISTS (SELECT 1 FROM editions WHERE number IN (OLD.edition, NEW.edition) AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER parts_remove BEFORE DELETE ON parts
WHEN EXISTS (SELECT 1 FROM editions WHERE number = OLD.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER bodies_add BEFORE INSERT ON bodies
WHEN EXISTS (SELECT 1 FROM editions WHERE number = NEW.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER bodies_change BEFORE UPDATE ON bodies
WHEN EXISTS (SELECT 1 FROM editions WHERE number IN (OLD.edition, NEW.edition) AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER bodies_remove BEFORE DELETE ON bodies
WHEN EXISTS (SELECT 1 FROM editions WHERE number = OLD.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER elements_add BEFORE INSERT ON elements
WHEN EXISTS (SELECT 1 FROM editions WHERE number = NEW.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER elements_change BEFORE UPDATE ON elements
WHEN EXISTS (SELECT 1 FROM editions WHERE number IN (OLD.edition, NEW.edition) AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER elements_remove BEFORE DELETE ON elements
WHEN EXISTS (SELECT 1 FROM editions WHERE number = OLD.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER controls_add BEFORE INSERT ON controls
WHEN EXISTS (SELECT 1 FROM editions WHERE number = NEW.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER controls_change BEFORE UPDATE ON controls
WHEN EXISTS (SELECT 1 FROM editions WHERE number IN (OLD.edition, NEW.edition) AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER controls_remove BEFORE DELETE ON controls
WHEN EXISTS (SELECT 1 FROM editions WHERE number = OLD.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER accessories_add BEFORE INSERT ON accessories
WHEN EXISTS (SELECT 1 FROM editions WHERE number = NEW.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER accessories_change BEFORE UPDATE ON accessories
WHEN EXISTS (SELECT 1 FROM editions WHERE number IN (OLD.edition, NEW.edition) AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER accessories_remove BEFORE DELETE ON accessories
WHEN EXISTS (SELECT 1 FROM editions WHERE number = OLD.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER included_add BEFORE INSERT ON included
WHEN EXISTS (SELECT 1 FROM editions WHERE number = NEW.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER included_change BEFORE UPDATE ON included
WHEN EXISTS (SELECT 1 FROM editions WHERE number IN (OLD.edition, NEW.edition) AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER included_remove BEFORE DELETE ON included
WHEN EXISTS (SELECT 1 FROM editions WHERE number = OLD.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER attribute_declarations_add BEFORE INSERT ON attribute_declarations
WHEN EXISTS (SELECT 1 FROM editions WHERE number = NEW.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER attribute_declarations_change BEFORE UPDATE ON attribute_declarations
WHEN EXISTS (SELECT 1 FROM editions WHERE number IN (OLD.edition, NEW.edition) AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER attribute_declarations_remove BEFORE DELETE ON attribute_declarations
WHEN EXISTS (SELECT 1 FROM editions WHERE number = OLD.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER part_attributes_add BEFORE INSERT ON part_attributes
WHEN EXISTS (SELECT 1 FROM editions WHERE number = NEW.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER part_attributes_change BEFORE UPDATE ON part_attributes
WHEN EXISTS (SELECT 1 FROM editions WHERE number IN (OLD.edition, NEW.edition) AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER part_attributes_remove BEFORE DELETE ON part_attributes
WHEN EXISTS (SELECT 1 FROM editions WHERE number = OLD.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER rules_add BEFORE INSERT ON rules
WHEN EXISTS (SELECT 1 FROM editions WHERE number = NEW.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER rules_change BEFORE UPDATE ON rules
WHEN EXISTS (SELECT 1 FROM editions WHERE number IN (OLD.edition, NEW.edition) AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER rules_remove BEFORE DELETE ON rules
WHEN EXISTS (SELECT 1 FROM editions WHERE number = OLD.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER rule_conditions_add BEFORE INSERT ON rule_conditions
WHEN EXISTS (SELECT 1 FROM editions WHERE number = NEW.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER rule_conditions_change BEFORE UPDATE ON rule_conditions
WHEN EXISTS (SELECT 1 FROM editions WHERE number IN (OLD.edition, NEW.edition) AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER rule_conditions_remove BEFORE DELETE ON rule_conditions
WHEN EXISTS (SELECT 1 FROM editions WHERE number = OLD.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER listed_pairs_add BEFORE INSERT ON listed_pairs
WHEN EXISTS (SELECT 1 FROM editions WHERE number = NEW.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER listed_pairs_change BEFORE UPDATE ON listed_pairs
WHEN EXISTS (SELECT 1 FROM editions WHERE number IN (OLD.edition, NEW.edition) AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER listed_pairs_remove BEFORE DELETE ON listed_pairs
WHEN EXISTS (SELECT 1 FROM editions WHERE number = OLD.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER thread_matings_add BEFORE INSERT ON thread_matings
WHEN EXISTS (SELECT 1 FROM editions WHERE number = NEW.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER thread_matings_change BEFORE UPDATE ON thread_matings
WHEN EXISTS (SELECT 1 FROM editions WHERE number IN (OLD.edition, NEW.edition) AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER thread_matings_remove BEFORE DELETE ON thread_matings
WHEN EXISTS (SELECT 1 FROM editions WHERE number = OLD.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER markets_add BEFORE INSERT ON markets
WHEN EXISTS (SELECT 1 FROM editions WHERE number = NEW.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER markets_change BEFORE UPDATE ON markets
WHEN EXISTS (SELECT 1 FROM editions WHERE number IN (OLD.edition, NEW.edition) AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER markets_remove BEFORE DELETE ON markets
WHEN EXISTS (SELECT 1 FROM editions WHERE number = OLD.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER market_regions_add BEFORE INSERT ON market_regions
WHEN EXISTS (SELECT 1 FROM editions WHERE number = NEW.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER market_regions_change BEFORE UPDATE ON market_regions
WHEN EXISTS (SELECT 1 FROM editions WHERE number IN (OLD.edition, NEW.edition) AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER market_regions_remove BEFORE DELETE ON market_regions
WHEN EXISTS (SELECT 1 FROM editions WHERE number = OLD.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER price_lists_add BEFORE INSERT ON price_lists
WHEN EXISTS (SELECT 1 FROM editions WHERE number = NEW.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER price_lists_change BEFORE UPDATE ON price_lists
WHEN EXISTS (SELECT 1 FROM editions WHERE number IN (OLD.edition, NEW.edition) AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER price_lists_remove BEFORE DELETE ON price_lists
WHEN EXISTS (SELECT 1 FROM editions WHERE number = OLD.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER prices_add BEFORE INSERT ON prices
WHEN EXISTS (SELECT 1 FROM editions WHERE number = NEW.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER prices_change BEFORE UPDATE ON prices
WHEN EXISTS (SELECT 1 FROM editions WHERE number IN (OLD.edition, NEW.edition) AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;

CREATE TRIGGER prices_remove BEFORE DELETE ON prices
WHEN EXISTS (SELECT 1 FROM editions WHERE number = OLD.edition AND state IN ('published', 'retired'))
BEGIN SELECT RAISE(ABORT, 'a published edition is immutable'); END;
