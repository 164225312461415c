-- painting.sqlite of a painting made by version 1 of the tables, as SQLite dumps it.
PRAGMA application_id = 1161909068;
PRAGMA user_version = 1;
BEGIN TRANSACTION;
CREATE TABLE canvas_photo (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        photo_id INTEGER NOT NULL REFERENCES photo (id),
        sitting INTEGER NOT NULL CHECK (sitting >= 1),
        position INTEGER NOT NULL,
        name TEXT NOT NULL,
        corners TEXT,
        found_by TEXT CHECK (found_by IN ('given', 'outline', 'tabs')),
        lens_k1 REAL NOT NULL DEFAULT 0,
        is_blank INTEGER NOT NULL DEFAULT 0 CHECK (is_blank IN (0, 1)),
        blank_id INTEGER REFERENCES canvas_photo (id),
        taken_at TEXT,
        added_at TEXT NOT NULL,
        note TEXT NOT NULL DEFAULT '',
        removed INTEGER NOT NULL DEFAULT 0 CHECK (removed IN (0, 1)));
INSERT INTO "canvas_photo" VALUES(1,2,1,1,'sitting 1.jpg','[[10.5, 20.25], [4010.0, 30.0], [4000.0, 3020.0], [15.0, 3010.0]]','outline',-0.05,0,NULL,NULL,'2026-11-25T13:01:23.895+00:00','',0);
INSERT INTO "canvas_photo" VALUES(2,3,2,2,'sitting 2.jpg','[[10.5, 20.25], [4010.0, 30.0], [4000.0, 3020.0], [15.0, 3010.0]]','outline',-0.05,0,NULL,NULL,'2026-11-25T13:01:23.915+00:00','',0);
CREATE TABLE check_result (
        canvas_photo_id INTEGER PRIMARY KEY,
        result TEXT NOT NULL,
        inputs TEXT NOT NULL,
        made_at TEXT NOT NULL);
INSERT INTO "check_result" VALUES(1,'{"schema": 1}','4da249a59e84d52128b6be54c16cb713d9ae89b299f98e606a33cc7a80341fa4','2026-11-25T13:01:23.903+00:00');
INSERT INTO "check_result" VALUES(2,'{"schema": 1}','d161034d202e4bbfea65336a20427c806050ce1e81103163c0658d0e442cf36e','2026-11-25T13:01:23.923+00:00');
CREATE TABLE drawing (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        base_id INTEGER REFERENCES drawing (id),
        depth INTEGER NOT NULL,
        kept_start INTEGER NOT NULL,
        kept_end INTEGER NOT NULL,
        middle TEXT NOT NULL,
        crc32 INTEGER NOT NULL,
        made_at TEXT NOT NULL,
        note TEXT NOT NULL DEFAULT '');
INSERT INTO "drawing" VALUES(1,NULL,0,0,0,'<svg><path d=''M 0 0''/></svg>',2674161316,'2026-11-25T13:01:23.926+00:00','from the tracing');
CREATE TABLE painting (
        id INTEGER PRIMARY KEY CHECK (id = 1),
        uuid TEXT NOT NULL,
        title TEXT NOT NULL,
        width_mm REAL NOT NULL CHECK (width_mm > 0),
        height_mm REAL NOT NULL CHECK (height_mm > 0),
        steps INTEGER NOT NULL CHECK (steps BETWEEN 2 AND 10),
        drawing_id INTEGER REFERENCES drawing (id),
        made_at TEXT NOT NULL);
INSERT INTO "painting" VALUES(1,'346106e4-ed58-4d00-ac4f-f7e7a2bd84c2','Enamel jug and quinces',400.0,300.0,5,1,'2026-11-25T13:01:23.768+00:00');
CREATE TABLE photo (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        file TEXT NOT NULL UNIQUE,
        name TEXT NOT NULL,
        sha256 TEXT NOT NULL UNIQUE CHECK (length(sha256) = 64),
        bytes INTEGER NOT NULL CHECK (bytes > 0),
        mtime_ns INTEGER NOT NULL,
        added_at TEXT NOT NULL);
INSERT INTO "photo" VALUES(1,'jug-b4648cf83b70.jpg','jug.jpg','b4648cf83b70f0f8db9691279de073b2bee9740776c7aff2ad800001031a99b4',20000,1795611683753956003,'2026-11-25T13:01:23.800+00:00');
INSERT INTO "photo" VALUES(2,'sitting 1-6746bb57c0b1.jpg','sitting 1.jpg','6746bb57c0b14feb72784f4d9bacd640d5cc1c20e02f1348c1b4f405c81dc64c',20000,1795611683877296850,'2026-11-25T13:01:23.883+00:00');
INSERT INTO "photo" VALUES(3,'sitting 2-feb5db2543ca.jpg','sitting 2.jpg','feb5db2543ca706b4ab0688f2ba3ecf6de5348dd8b909242f1cdc177ee1895dd',20000,1795611683907530077,'2026-11-25T13:01:23.912+00:00');
CREATE TABLE plan (name TEXT PRIMARY KEY, value TEXT NOT NULL);
INSERT INTO "plan" VALUES('focal points','[[200, 120]]');
CREATE TABLE reference (
        id INTEGER PRIMARY KEY CHECK (id = 1),
        photo_id INTEGER NOT NULL REFERENCES photo (id),
        crop TEXT);
INSERT INTO "reference" VALUES(1,1,'[[10.5, 20.25], [4010.0, 30.0], [4000.0, 3020.0], [15.0, 3010.0]]');
CREATE TABLE revision (id INTEGER PRIMARY KEY CHECK (id = 1), number INTEGER NOT NULL);
INSERT INTO "revision" VALUES(1,16);
CREATE TABLE setting (name TEXT PRIMARY KEY, value TEXT NOT NULL);
INSERT INTO "setting" VALUES('squint','3.5');
CREATE TABLE step (
        id INTEGER PRIMARY KEY,
        label TEXT NOT NULL,
        made_at TEXT NOT NULL,
        undone INTEGER NOT NULL DEFAULT 0 CHECK (undone IN (0, 1)));
INSERT INTO "step" VALUES(1,'added a canvas photo','2026-11-25T13:01:23.895+00:00',0);
INSERT INTO "step" VALUES(2,'placed the corners','2026-11-25T13:01:23.899+00:00',0);
INSERT INTO "step" VALUES(3,'added a canvas photo','2026-11-25T13:01:23.915+00:00',0);
INSERT INTO "step" VALUES(4,'placed the corners','2026-11-25T13:01:23.916+00:00',0);
INSERT INTO "step" VALUES(5,'changed the drawing','2026-11-25T13:01:23.926+00:00',0);
INSERT INTO "step" VALUES(6,'changed the focal points','2026-11-25T13:01:23.928+00:00',0);
INSERT INTO "step" VALUES(7,'renamed the painting','2026-11-25T13:01:23.935+00:00',0);
INSERT INTO "step" VALUES(8,'renamed the painting','2026-11-25T13:01:23.979+00:00',1);
CREATE TABLE step_change (
        step_id INTEGER NOT NULL REFERENCES step (id) ON DELETE CASCADE,
        place INTEGER NOT NULL,
        part TEXT NOT NULL,
        row_key TEXT NOT NULL,
        before TEXT,
        after TEXT,
        PRIMARY KEY (step_id, place)) WITHOUT ROWID;
INSERT INTO "step_change" VALUES(1,0,'canvas_photo','1',NULL,'{"id": 1, "photo_id": 2, "sitting": 1, "position": 1, "name": "sitting 1.jpg", "corners": null, "found_by": null, "lens_k1": 0.0, "is_blank": 0, "blank_id": null, "taken_at": null, "added_at": "2026-11-25T13:01:23.895+00:00", "note": "", "removed": 0}');
INSERT INTO "step_change" VALUES(2,0,'canvas_photo','1','{"corners": null, "found_by": null, "lens_k1": 0.0}','{"corners": "[[10.5, 20.25], [4010.0, 30.0], [4000.0, 3020.0], [15.0, 3010.0]]", "found_by": "outline", "lens_k1": -0.05}');
INSERT INTO "step_change" VALUES(3,0,'canvas_photo','2',NULL,'{"id": 2, "photo_id": 3, "sitting": 2, "position": 2, "name": "sitting 2.jpg", "corners": null, "found_by": null, "lens_k1": 0.0, "is_blank": 0, "blank_id": null, "taken_at": null, "added_at": "2026-11-25T13:01:23.915+00:00", "note": "", "removed": 0}');
INSERT INTO "step_change" VALUES(4,0,'canvas_photo','2','{"corners": null, "found_by": null, "lens_k1": 0.0}','{"corners": "[[10.5, 20.25], [4010.0, 30.0], [4000.0, 3020.0], [15.0, 3010.0]]", "found_by": "outline", "lens_k1": -0.05}');
INSERT INTO "step_change" VALUES(5,0,'painting','1','{"drawing_id": null}','{"drawing_id": 1}');
INSERT INTO "step_change" VALUES(6,0,'plan','"focal points"',NULL,'{"name": "focal points", "value": "[[200, 120]]"}');
INSERT INTO "step_change" VALUES(7,0,'painting','1','{"title": "Enamel jug"}','{"title": "Enamel jug and quinces"}');
INSERT INTO "step_change" VALUES(8,0,'painting','1','{"title": "Enamel jug and quinces"}','{"title": "Enamel jug, quinces and linen"}');
CREATE INDEX step_by_state ON step (undone, id);
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('photo',3);
INSERT INTO "sqlite_sequence" VALUES('canvas_photo',2);
INSERT INTO "sqlite_sequence" VALUES('drawing',1);
COMMIT;
