-- +goose Up

-- The words of an item, and the earlier notes of a watch, can be taken away for good: what takes the place of an item
-- is marked as such and names the hash that the tree of the log keeps; opinions that were formed of it may go, since
-- they come out again; versions of a watch are marked with the day.
DROP TRIGGER log_change ON log;
CREATE TRIGGER log_change BEFORE DELETE OR TRUNCATE ON log EXECUTE FUNCTION append_only();
CREATE TRIGGER log_update BEFORE UPDATE ON log FOR EACH ROW
    WHEN (NOT (NEW.seq = OLD.seq AND NEW.watch = OLD.watch AND NEW.id = OLD.id
        AND NEW.item LIKE '%"kind":"redacted","at":"%'))
    EXECUTE FUNCTION append_only();

DROP TRIGGER history_change ON history;
CREATE TRIGGER history_change BEFORE DELETE OR TRUNCATE ON history EXECUTE FUNCTION append_only();
CREATE TRIGGER history_update BEFORE UPDATE ON history FOR EACH ROW
    WHEN (NOT (NEW.seq = OLD.seq AND NEW.subject = OLD.subject AND NEW.id = OLD.id AND NEW.version = OLD.version
        AND NEW.at = OLD.at AND NEW.subject = 'watch' AND NEW.doc_after LIKE '%"redacted":"%'))
    EXECUTE FUNCTION append_only();

DROP TRIGGER opinions_change ON opinions;
CREATE TRIGGER opinions_change BEFORE UPDATE OR TRUNCATE ON opinions EXECUTE FUNCTION append_only();
-- +goose StatementBegin
CREATE FUNCTION opinions_stay() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF NOT EXISTS (SELECT 1 FROM log WHERE watch = OLD.watch AND item LIKE '%"kind":"redacted","at":"%') THEN
        RAISE EXCEPTION 'opinions is append-only: no delete';
    END IF;
    RETURN OLD;
END $$;
-- +goose StatementEnd
CREATE TRIGGER opinions_delete BEFORE DELETE ON opinions FOR EACH ROW EXECUTE FUNCTION opinions_stay();
