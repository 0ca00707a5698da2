/**
 * Orders beside settings: what was learned, and what people said at a machine, are looked up by their key and time.
 * In `episode`, `subject_key` is from now on the subject whose readings decided it.
 */
export const SCHEMA_2 = `
ALTER TABLE input ADD COLUMN order_key TEXT;
UPDATE input SET order_key = 'settings' WHERE type = 'settings';
DROP INDEX input_settings;
CREATE INDEX input_order ON input (order_key, at_ms) WHERE order_key IS NOT NULL;
`
