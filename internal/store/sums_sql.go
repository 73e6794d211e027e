package store

import "fmt"

// keyJoint joins the values of a key of several columns.
const keyJoint = "\x1f"

// What the two engines need of SQL for the sums of rows.
const (
	sqliteColumns = `SELECT m.name, c.name, c.pk > 0 FROM sqlite_master m JOIN pragma_table_info(m.name) c
		WHERE m.type = 'table' AND m.name NOT LIKE 'sqlite_%' ORDER BY m.name, c.cid`
	sqliteTriggers = `SELECT tbl_name, name FROM sqlite_master WHERE type = 'trigger' AND name LIKE 'sum\_%' ESCAPE '\'`

	postgresColumns = `SELECT c.relname, a.attname, COALESCE(a.attnum = ANY(i.indkey), false)
		FROM pg_class c
		JOIN pg_attribute a ON a.attrelid = c.oid AND a.attnum > 0 AND NOT a.attisdropped
		LEFT JOIN pg_index i ON i.indrelid = c.oid AND i.indisprimary
		WHERE c.relkind = 'r' AND c.relnamespace = current_schema()::regnamespace
		ORDER BY c.relname, a.attnum`
	postgresTriggers = `SELECT c.relname, t.tgname FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid
		WHERE c.relnamespace = current_schema()::regnamespace AND NOT t.tgisinternal AND t.tgname LIKE 'sum\_%'`
)

func sqliteKey(t summed, prefix string) string {
	return each(t.key, prefix, `CAST(%s AS TEXT)`, ` || char(31) || `)
}

func sqliteSum(t summed, prefix string) string {
	return `row_sum(` + each(t.columns, prefix, `%s`, `, `) + `)`
}

func sqliteDropTrigger(name, _ string) string { return `DROP TRIGGER ` + quoted(name) }

func sqliteSumTriggers(t summed) []string {
	drop := func(prefix string) string {
		return fmt.Sprintf(`DELETE FROM sums WHERE tbl = '%s' AND id = %s;`, t.name, sqliteKey(t, prefix))
	}
	add := fmt.Sprintf(`INSERT INTO sums (tbl, id, sum) VALUES ('%s', %s, %s);`, t.name, sqliteKey(t, "NEW."),
		sqliteSum(t, "NEW."))
	trigger := func(event, when, body string) string {
		return fmt.Sprintf(`CREATE TRIGGER %s AFTER %s ON %s BEGIN %s END`, quoted(t.trigger(event)), when,
			quoted(t.name), body)
	}
	return []string{
		trigger("d", "DELETE", drop("OLD.")),
		trigger("u", "UPDATE", drop("OLD.")+drop("NEW.")+add),
		trigger("i", "INSERT", drop("NEW.")+add),
	}
}

func postgresKey(t summed, prefix string) string {
	return `concat_ws(chr(31), ` + each(t.key, prefix, `%s::text`, `, `) + `)`
}

func postgresSum(t summed, prefix string) string {
	return `md5(concat_ws(chr(31), ` + each(t.columns, prefix, `coalesce('+' || %s::text, '-')`, `, `) + `))`
}

func postgresDropTrigger(name, table string) string {
	return fmt.Sprintf(`DROP TRIGGER %s ON %s`, quoted(name), quoted(table))
}

func postgresSumTriggers(t summed) []string {
	name := quoted(t.trigger("i"))
	return []string{
		fmt.Sprintf(`CREATE OR REPLACE FUNCTION %s() RETURNS trigger LANGUAGE plpgsql AS $body$ BEGIN
			IF TG_OP <> 'INSERT' THEN
				DELETE FROM sums WHERE tbl = '%s' AND id = %s;
			END IF;
			IF TG_OP <> 'DELETE' THEN
				INSERT INTO sums (tbl, id, sum) VALUES ('%s', %s, %s)
				ON CONFLICT (tbl, id) DO UPDATE SET sum = excluded.sum;
			END IF;
			RETURN NULL;
		END $body$`, name, t.name, postgresKey(t, "OLD."), t.name, postgresKey(t, "NEW."), postgresSum(t, "NEW.")),
		fmt.Sprintf(`CREATE TRIGGER %s AFTER INSERT OR UPDATE OR DELETE ON %s FOR EACH ROW EXECUTE FUNCTION %s()`,
			name, quoted(t.name), name),
	}
}
