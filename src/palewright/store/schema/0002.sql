-- Who sent an entry, as its session says; the role in which a file was put. Both are '' for what came before.

ALTER TABLE entries ADD COLUMN sent_by TEXT NOT NULL DEFAULT '';

ALTER TABLE files ADD COLUMN made_as TEXT NOT NULL DEFAULT '';
