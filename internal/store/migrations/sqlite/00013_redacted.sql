-- +goose Up

-- The words of an item, and the earlier notes of a watch, can be taken away for good: what takes the place of an item
-- is marked as such and names the hash that the tree of the log keeps; opinions that were formed of it may go, since
-- they come out again; versions of a watch are marked with the day.
DROP TRIGGER log_update;
-- +goose StatementBegin
CREATE TRIGGER log_update BEFORE UPDATE ON log
WHEN NOT (NEW.seq = OLD.seq AND NEW.watch = OLD.watch AND NEW.id = OLD.id AND NEW.item LIKE '%"kind":"redacted","at":"%')
BEGIN SELECT RAISE(ABORT, 'log is append-only: no update'); END;
-- +goose StatementEnd
DROP TRIGGER history_update;
-- +goose StatementBegin
CREATE TRIGGER history_update BEFORE UPDATE ON history
WHEN NOT (NEW.seq = OLD.seq AND NEW.subject = OLD.subject AND NEW.id = OLD.id AND NEW.version = OLD.version
    AND NEW.at = OLD.at AND NEW.subject = 'watch' AND NEW.doc_after LIKE '%"redacted":"%')
BEGIN SELECT RAISE(ABORT, 'history is append-only: no update'); END;
-- +goose StatementEnd
DROP TRIGGER opinions_delete;
-- +goose StatementBegin
CREATE TRIGGER opinions_delete BEFORE DELETE ON opinions
WHEN NOT EXISTS (SELECT 1 FROM log WHERE watch = OLD.watch AND item LIKE '%"kind":"redacted","at":"%')
BEGIN SELECT RAISE(ABORT, 'opinions is append-only: no delete'); END;
-- +goose StatementEnd
