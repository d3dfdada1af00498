BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0003');
CREATE TABLE api_keys (
	id VARCHAR(40) NOT NULL, 
	name TEXT NOT NULL, 
	scopes TEXT NOT NULL, 
	secret_sha256 VARCHAR(64) NOT NULL, 
	created_at DATETIME NOT NULL, 
	expires_at DATETIME, 
	revoked_at DATETIME, 
	last_used_at DATETIME, 
	PRIMARY KEY (id)
);
CREATE TABLE attempts (
	token VARCHAR(32) NOT NULL, 
	job_id VARCHAR(40) NOT NULL, 
	number INTEGER NOT NULL, 
	started_at DATETIME NOT NULL, 
	lease_until DATETIME NOT NULL, 
	ended_at DATETIME, 
	outcome VARCHAR(16), 
	reason TEXT, 
	PRIMARY KEY (token), 
	CONSTRAINT ended_with_outcome CHECK ((ended_at IS NULL) = (outcome IS NULL)), 
	FOREIGN KEY(job_id) REFERENCES jobs (id)
);
INSERT INTO "attempts" VALUES('deddd27d2636c39fb161a97cc7a9a3aa','job_af8362f416d44767bff4606d6b670cfe',1,'2026-11-25 18:29:50.710919','2026-11-25 18:30:31.756314','2026-11-25 18:30:05.985360','succeeded','planned');
INSERT INTO "attempts" VALUES('1a85df477df7a406cbc45cc90b26f808','job_9b8a582cfb0344adad5a948c6ce3e42b',1,'2026-11-25 18:30:06.195690','2026-11-25 18:30:46.869128','2026-11-25 18:30:19.645352','succeeded','planned');
INSERT INTO "attempts" VALUES('6110a7cbde78d59c4ad22988bbae0536','job_2f650968de5e4f828e142cf1c9b9ad2a',1,'2026-11-25 18:30:20.353394','2026-11-25 18:30:56.964931','2026-11-25 18:30:28.242025','succeeded','all plans judged');
CREATE TABLE audit (
	id INTEGER NOT NULL, 
	at DATETIME NOT NULL, 
	key_id VARCHAR(40), 
	action VARCHAR(64) NOT NULL, 
	subject TEXT NOT NULL, 
	request_id VARCHAR(64), 
	PRIMARY KEY (id)
);
INSERT INTO "audit" VALUES(1,'2026-11-25 18:29:50.583472',NULL,'layout.add','layout_ecc0444ec1ad40858a6e1f09d484012d','f4e77bab02b6454c9f9533d97ce3be1e');
INSERT INTO "audit" VALUES(2,'2026-11-25 18:29:50.643438',NULL,'resin.add','resin_0ef8f8000b9d42a99e8d749498fed436','e5f28d0e8b7e40fea50825dd73acb08e');
INSERT INTO "audit" VALUES(3,'2026-11-25 18:29:50.707563',NULL,'plan.ask','job_af8362f416d44767bff4606d6b670cfe','522388d7066c42c79a9d7afbaeb03216');
INSERT INTO "audit" VALUES(4,'2026-11-25 18:30:06.141275',NULL,'plan.ask','job_9b8a582cfb0344adad5a948c6ce3e42b','8dc4c4b8fecd484f98d512dbf0d128ad');
INSERT INTO "audit" VALUES(5,'2026-11-25 18:30:19.969796',NULL,'revalidation.ask','revalidation_4b139df27f2c4f8c8e3ebc54','29189ba336de4a388e673ed843db8350');
CREATE TABLE case_origins (
	case_digest VARCHAR(64) NOT NULL, 
	origin VARCHAR(64) NOT NULL, 
	layout_id VARCHAR(40) NOT NULL, 
	layout_revision INTEGER NOT NULL, 
	resin_id VARCHAR(40), 
	resin_revision INTEGER, 
	batch TEXT, 
	created_at DATETIME NOT NULL, 
	PRIMARY KEY (case_digest, origin), 
	FOREIGN KEY(layout_id, layout_revision) REFERENCES revisions (document_id, revision), 
	FOREIGN KEY(resin_id, resin_revision) REFERENCES revisions (document_id, revision), 
	FOREIGN KEY(case_digest) REFERENCES cases (digest)
);
INSERT INTO "case_origins" VALUES('802eb7a2fe6d68594b8d074829772a13775f593307321e5baf28eefeda295538','4d3a551a9a2064d8e48ff58ae132692bb0995340546ce8d0288d006b440130d1','layout_ecc0444ec1ad40858a6e1f09d484012d',1,NULL,NULL,NULL,'2026-11-25 18:29:50.656232');
INSERT INTO "case_origins" VALUES('8a3375e0e5ee667a1018f4cf42405c61d736b457456bf9802cb3c17a8745d577','3eab69a210223f0fcf25cb353656bf41fd81ff1f95832081edf4979c7149fb47','layout_ecc0444ec1ad40858a6e1f09d484012d',1,'resin_0ef8f8000b9d42a99e8d749498fed436',1,'A-117','2026-11-25 18:30:06.138936');
CREATE TABLE "cases" (
	digest VARCHAR(64) NOT NULL, 
	name TEXT NOT NULL, 
	part_digest VARCHAR(64), 
	resin_digest VARCHAR(64), 
	settings_digest VARCHAR(64), 
	layout_id VARCHAR(40), 
	layout_revision INTEGER, 
	resin_id VARCHAR(40), 
	resin_revision INTEGER, 
	batch TEXT, 
	created_at DATETIME NOT NULL, 
	source BLOB NOT NULL, 
	PRIMARY KEY (digest), 
	CONSTRAINT layout_of_case FOREIGN KEY(layout_id, layout_revision) REFERENCES revisions (document_id, revision), 
	CONSTRAINT resin_of_case FOREIGN KEY(resin_id, resin_revision) REFERENCES revisions (document_id, revision)
);
INSERT INTO "cases" VALUES('802eb7a2fe6d68594b8d074829772a13775f593307321e5baf28eefeda295538','tiny panel','f8ae26d77ad658813ba9ad26ac7951fc071d5907945b80df46cac81ba1eee27f','7fe9e0b92bdb36ba2494c6d498d2d8a4f9d44fd5726b93455b5166896b793659','0c22ff61a25f6d70184aaff6926d0226570c37389f237735f3e52d574360bade','layout_ecc0444ec1ad40858a6e1f09d484012d',1,NULL,NULL,NULL,'2026-11-25 18:29:50.656232',X'23204120666C61742070616E656C206F662036303020627920333030206D6D20776974682074776F206C696E657320616E6420612076656E743A20656E6F75676820746F20706C616E2C20736D616C6C20656E6F75676820746F20706C616E20696E2061206D6F6D656E742E0A2320416C6C2076616C7565732061726520696E76656E7465642E0A736368656D615F76657273696F6E3A20310A6E616D653A2074696E792070616E656C0A73686565743A0A20206F75746C696E65733A0A202020202D206E616D653A2070616E656C0A202020202020626F726465725F6D6D3A205B5B302C20305D2C205B3630302C20305D2C205B3630302C203330305D2C205B302C203330305D5D0A7265696E666F7263656D656E74733A0A2020636C6F74683A0A2020202066696272655F64656E736974795F6B675F6D333A20323535300A20202020617265616C5F7765696768745F675F6D323A203830300A202020207065726D656162696C6974793A0A2020202020206D656173757265643A207B616C6F6E675F6D323A20322E30652D31302C206163726F73735F6D323A20322E30652D31302C2061745F66696272655F766F6C756D655F70657263656E743A2035307D0A6C616D696E617465733A0A2020666F757220706C6965733A0A2020202066696272655F766F6C756D655F70657263656E743A2035300A202020206C61796572733A205B7B706C793A20636C6F74682C20616E676C655F6465673A20302C20636F756E743A20347D5D0A61726561733A0A20202D207B6E616D653A2070616E656C2C206C616D696E6174653A20666F757220706C6965732C20626F726465725F6D6D3A206E756C6C7D0A666565645F6C696E65733A0A20202D206E616D653A202231220A20202020626F72655F6D6D3A2031320A2020202073656374696F6E733A205B7B72756E5F6D6D3A205B5B32302C2032305D2C205B32302C203238305D5D2C20686F73655F6C656E6774685F6D6D3A20313030302C20696E6C65743A2073746172747D5D0A20202D206E616D653A202232220A20202020626F72655F6D6D3A2031320A2020202073656374696F6E733A205B7B72756E5F6D6D3A205B5B3330302C2032305D2C205B3330302C203238305D5D2C20686F73655F6C656E6774685F6D6D3A20313030302C20696E6C65743A2073746172747D5D0A76656E74733A0A20202D207B6E616D653A2056312C2072756E5F6D6D3A205B5B3538302C2032305D2C205B3538302C203238305D5D2C20626F72655F6D6D3A2031322C20686F73655F6C656E6774685F6D6D3A20313030307D0A737570706C793A207B6B696E643A206F70656E5F636F6E7461696E65722C20737572666163655F6865696768745F6D6D3A20307D0A726573696E3A0A20206E616D653A2064656D6F20726573696E0A202064656E736974795F6B675F6D333A20313038300A2020766973636F736974795F706F696E74733A205B7B74656D70657261747572655F633A2031352C20766973636F736974795F6D70615F733A203332307D2C207B74656D70657261747572655F633A2032352C20766973636F736974795F6D70615F733A203139307D5D0A202067656C5F74696D655F706F696E74733A0A202020202D207B74656D70657261747572655F633A2031352C20696E69746961746F725F70657263656E743A20312E352C2067656C5F74696D655F6D696E3A203132307D0A202020202D207B74656D70657261747572655F633A2032352C20696E69746961746F725F70657263656E743A20312E352C2067656C5F74696D655F6D696E3A2036307D0A2020696E69746961746F723A207B6C6576656C5F70657263656E743A20312E352C206C656173745F70657263656E743A20312E302C206D6F73745F70657263656E743A20322E307D0A70726F636573733A207B76616375756D5F6D6261725F6162733A2032302C206D6F756C645F74656D70657261747572655F633A2032302C20726573696E5F74656D70657261747572655F633A2032307D0A7365617263683A207B63656C6C5F6D6D3A2035302C20636F617273655F63656C6C5F6D6D3A203130302C206D6F73745F7A6F6E65733A2031302C20726F756E64733A20312C20736F6C7665725F6566666F72743A20302E327D0A');
INSERT INTO "cases" VALUES('8a3375e0e5ee667a1018f4cf42405c61d736b457456bf9802cb3c17a8745d577','tiny panel','f8ae26d77ad658813ba9ad26ac7951fc071d5907945b80df46cac81ba1eee27f','99057b6ecfbf51850374f988467ef8886adcdd876468ec6073851b757c96dc91','0c22ff61a25f6d70184aaff6926d0226570c37389f237735f3e52d574360bade','layout_ecc0444ec1ad40858a6e1f09d484012d',1,'resin_0ef8f8000b9d42a99e8d749498fed436',1,'A-117','2026-11-25 18:30:06.138936',X'7B22736368656D615F76657273696F6E223A20312C20226E616D65223A202274696E792070616E656C222C20227368656574223A207B226F75746C696E6573223A205B7B226E616D65223A202270616E656C222C2022626F726465725F6D6D223A205B5B302C20305D2C205B3630302C20305D2C205B3630302C203330305D2C205B302C203330305D5D7D5D7D2C20227265696E666F7263656D656E7473223A207B22636C6F7468223A207B2266696272655F64656E736974795F6B675F6D33223A20323535302C2022617265616C5F7765696768745F675F6D32223A203830302C20227065726D656162696C697479223A207B226D65617375726564223A207B22616C6F6E675F6D32223A2032652D31302C20226163726F73735F6D32223A2032652D31302C202261745F66696272655F766F6C756D655F70657263656E74223A2035307D7D7D7D2C20226C616D696E61746573223A207B22666F757220706C696573223A207B2266696272655F766F6C756D655F70657263656E74223A2035302C20226C6179657273223A205B7B22706C79223A2022636C6F7468222C2022616E676C655F646567223A20302C2022636F756E74223A20347D5D7D7D2C20226172656173223A205B7B226E616D65223A202270616E656C222C20226C616D696E617465223A2022666F757220706C696573222C2022626F726465725F6D6D223A206E756C6C7D5D2C2022666565645F6C696E6573223A205B7B226E616D65223A202231222C2022626F72655F6D6D223A2031322C202273656374696F6E73223A205B7B2272756E5F6D6D223A205B5B32302C2032305D2C205B32302C203238305D5D2C2022686F73655F6C656E6774685F6D6D223A20313030302C2022696E6C6574223A20227374617274227D5D7D2C207B226E616D65223A202232222C2022626F72655F6D6D223A2031322C202273656374696F6E73223A205B7B2272756E5F6D6D223A205B5B3330302C2032305D2C205B3330302C203238305D5D2C2022686F73655F6C656E6774685F6D6D223A20313030302C2022696E6C6574223A20227374617274227D5D7D5D2C202276656E7473223A205B7B226E616D65223A20225631222C202272756E5F6D6D223A205B5B3538302C2032305D2C205B3538302C203238305D5D2C2022626F72655F6D6D223A2031322C2022686F73655F6C656E6774685F6D6D223A20313030307D5D2C2022737570706C79223A207B226B696E64223A20226F70656E5F636F6E7461696E6572222C2022737572666163655F6865696768745F6D6D223A20307D2C2022726573696E223A207B226E616D65223A202244656D6F2076696E796C206573746572222C202264656E736974795F6B675F6D33223A20313038302E302C2022766973636F736974795F706F696E7473223A205B7B2274656D70657261747572655F63223A2031352E302C2022766973636F736974795F6D70615F73223A203332302E307D2C207B2274656D70657261747572655F63223A2032352E302C2022766973636F736974795F6D70615F73223A203139302E307D5D2C202267656C5F74696D655F706F696E7473223A205B7B2274656D70657261747572655F63223A2031352E302C2022696E69746961746F725F70657263656E74223A20312E352C202267656C5F74696D655F6D696E223A203132302E307D2C207B2274656D70657261747572655F63223A2032352E302C2022696E69746961746F725F70657263656E74223A20312E352C202267656C5F74696D655F6D696E223A2036302E307D5D2C2022696E69746961746F72223A207B226C6576656C5F70657263656E74223A20312E352C20226C656173745F70657263656E74223A20312E302C20226D6F73745F70657263656E74223A20322E307D2C20226261746368223A2022412D313137227D2C202270726F63657373223A207B2276616375756D5F6D6261725F616273223A2032302C20226D6F756C645F74656D70657261747572655F63223A2032302C2022726573696E5F74656D70657261747572655F63223A2032307D2C2022736561726368223A207B2263656C6C5F6D6D223A2035302C2022636F617273655F63656C6C5F6D6D223A203130302C20226D6F73745F7A6F6E6573223A2031302C2022726F756E6473223A20312C2022736F6C7665725F6566666F7274223A20302E327D7D');
CREATE TABLE deliveries (
	id VARCHAR(40) NOT NULL, 
	webhook_id VARCHAR(40) NOT NULL, 
	event VARCHAR(40) NOT NULL, 
	payload TEXT NOT NULL, 
	created_at DATETIME NOT NULL, 
	tries INTEGER NOT NULL, 
	due_at DATETIME, 
	delivered_at DATETIME, 
	given_up_at DATETIME, 
	last_answer TEXT, 
	PRIMARY KEY (id), 
	FOREIGN KEY(webhook_id) REFERENCES webhooks (id)
);
CREATE TABLE documents (
	id VARCHAR(40) NOT NULL, 
	kind VARCHAR(16) NOT NULL, 
	name TEXT NOT NULL, 
	revision INTEGER NOT NULL, 
	digest VARCHAR(64) NOT NULL, 
	created_at DATETIME NOT NULL, 
	updated_at DATETIME NOT NULL, 
	PRIMARY KEY (id), 
	CONSTRAINT known_document_kind CHECK (kind IN ('layout', 'resin'))
);
INSERT INTO "documents" VALUES('layout_ecc0444ec1ad40858a6e1f09d484012d','layout','tiny panel',1,'802eb7a2fe6d68594b8d074829772a13775f593307321e5baf28eefeda295538','2026-11-25 18:29:50.581840','2026-11-25 18:29:50.581840');
INSERT INTO "documents" VALUES('resin_0ef8f8000b9d42a99e8d749498fed436','resin','Demo vinyl ester',1,'ac02c6447d3c6236b030cdcf3eeb3505e98ed2841da0b5454803f1c0c9f058bc','2026-11-25 18:29:50.643117','2026-11-25 18:29:50.643117');
CREATE TABLE idempotent_replies (
	scope VARCHAR(64) NOT NULL, 
	request_sha256 VARCHAR(64) NOT NULL, 
	status INTEGER NOT NULL, 
	headers TEXT NOT NULL, 
	body TEXT NOT NULL, 
	created_at DATETIME NOT NULL, 
	PRIMARY KEY (scope)
);
CREATE TABLE job_events (
	id INTEGER NOT NULL, 
	job_id VARCHAR(40) NOT NULL, 
	at DATETIME NOT NULL, 
	from_state VARCHAR(16), 
	to_state VARCHAR(16) NOT NULL, 
	reason TEXT NOT NULL, 
	PRIMARY KEY (id), 
	FOREIGN KEY(job_id) REFERENCES jobs (id)
);
INSERT INTO "job_events" VALUES(1,'job_af8362f416d44767bff4606d6b670cfe','2026-11-25 18:29:50.681935',NULL,'queued','submitted');
INSERT INTO "job_events" VALUES(2,'job_af8362f416d44767bff4606d6b670cfe','2026-11-25 18:29:50.713497','queued','running','attempt 1');
INSERT INTO "job_events" VALUES(3,'job_af8362f416d44767bff4606d6b670cfe','2026-11-25 18:30:05.987340','running','succeeded','planned');
INSERT INTO "job_events" VALUES(4,'job_9b8a582cfb0344adad5a948c6ce3e42b','2026-11-25 18:30:06.140805',NULL,'queued','submitted');
INSERT INTO "job_events" VALUES(5,'job_9b8a582cfb0344adad5a948c6ce3e42b','2026-11-25 18:30:06.196283','queued','running','attempt 1');
INSERT INTO "job_events" VALUES(6,'job_9b8a582cfb0344adad5a948c6ce3e42b','2026-11-25 18:30:19.646996','running','succeeded','planned');
INSERT INTO "job_events" VALUES(7,'job_2f650968de5e4f828e142cf1c9b9ad2a','2026-11-25 18:30:19.926700',NULL,'queued','submitted');
INSERT INTO "job_events" VALUES(8,'job_2f650968de5e4f828e142cf1c9b9ad2a','2026-11-25 18:30:20.354150','queued','running','attempt 1');
INSERT INTO "job_events" VALUES(9,'job_2f650968de5e4f828e142cf1c9b9ad2a','2026-11-25 18:30:28.248813','running','succeeded','all plans judged');
CREATE TABLE "jobs" (
	id VARCHAR(40) NOT NULL, 
	case_digest VARCHAR(64), 
	software_version VARCHAR(64) NOT NULL, 
	state VARCHAR(16) NOT NULL, 
	phase TEXT NOT NULL, 
	fraction FLOAT NOT NULL, 
	best_wet_out_s FLOAT, 
	error TEXT, 
	created_at DATETIME NOT NULL, 
	updated_at DATETIME NOT NULL, 
	kind VARCHAR(16) NOT NULL, 
	question VARCHAR(64) NOT NULL, 
	sequence TEXT, 
	created_by VARCHAR(40), 
	PRIMARY KEY (id), 
	CONSTRAINT known_job_kind CHECK (kind IN ('plan', 'check', 'revalidation')), 
	CONSTRAINT known_state CHECK (state IN ('queued', 'running', 'succeeded', 'failed', 'cancelled')), 
	CONSTRAINT failed_says_why CHECK ((state = 'failed') = (error IS NOT NULL)), 
	FOREIGN KEY(case_digest) REFERENCES cases (digest)
);
INSERT INTO "jobs" VALUES('job_af8362f416d44767bff4606d6b670cfe','802eb7a2fe6d68594b8d074829772a13775f593307321e5baf28eefeda295538','0.1.0','succeeded','done',1.0,5.85752010472477195428e+02,NULL,'2026-11-25 18:29:50.680905','2026-11-25 18:30:05.985946','plan','514e09593a41d8ceaf8f9225ccd390d59dd888fb0d266d83364ed7284630b584',NULL,NULL);
INSERT INTO "jobs" VALUES('job_9b8a582cfb0344adad5a948c6ce3e42b','8a3375e0e5ee667a1018f4cf42405c61d736b457456bf9802cb3c17a8745d577','0.1.0','succeeded','done',1.0,5.85752010472477195428e+02,NULL,'2026-11-25 18:30:06.140387','2026-11-25 18:30:19.645860','plan','a97efdd0411d0b5bcfa2debbef7495b43449813b0bb321009f8d778a50fc3f3a',NULL,NULL);
INSERT INTO "jobs" VALUES('job_2f650968de5e4f828e142cf1c9b9ad2a',NULL,'0.1.0','succeeded','done',1.0,NULL,NULL,'2026-11-25 18:30:19.926205','2026-11-25 18:30:28.242761','revalidation','c75db5639418f90972b0b7418c3f8749143eec5526fb5b95a5c46b37657795a7',NULL,NULL);
CREATE TABLE "plans" (
	id VARCHAR(40) NOT NULL, 
	job_id VARCHAR(40) NOT NULL, 
	case_digest VARCHAR(64) NOT NULL, 
	name TEXT, 
	resin TEXT, 
	batch TEXT, 
	software_version VARCHAR(64) NOT NULL, 
	verdict VARCHAR(32) NOT NULL, 
	wet_out_s FLOAT, 
	gel_margin_s FLOAT, 
	sha256 VARCHAR(64) NOT NULL, 
	created_at DATETIME NOT NULL, 
	facts TEXT, 
	document TEXT NOT NULL, 
	PRIMARY KEY (id), 
	UNIQUE (job_id), 
	FOREIGN KEY(case_digest) REFERENCES cases (digest), 
	FOREIGN KEY(job_id) REFERENCES jobs (id)
);
INSERT INTO "plans" VALUES('plan_0d5c503e672969f6a5594f14','job_af8362f416d44767bff4606d6b670cfe','802eb7a2fe6d68594b8d074829772a13775f593307321e5baf28eefeda295538','tiny panel','demo resin','not stated','0.1.0','verified',5.85752010472477195428e+02,2.95706187014216629899e+03,'0d5c503e672969f6a5594f1401c2ae37616ac0fd5e6af15f85e561dd2d58fc43','2026-11-25 18:30:05.983745','{"version":1,"software_version":"0.1.0","admissible":true,"other_failure":null,"wet_out_s":585.7520104724772,"spread_wet_out_s":[472.1858071412432,726.9566134250426],"gel_time_s":5061.162686592348,"gel_limit_s":3542.8138806146435,"gel_fraction":0.7,"viscosity_pa_s":0.24548280006314577,"driving_pa":99325.0,"ambient_mbar_abs":1013.25,"vacuum_mbar_abs":20.0,"pressure_cap_mbar_abs":null,"flow_capped":false,"mould_temperature_c":20.0,"resin_temperature_c":20.0,"action_s":15.0,"heights_matter":false,"uptake_by_weight":false,"resin":{"name":"demo resin","batch":"not stated","density_kg_m3":1080.0,"viscosity_points":[{"temperature_c":15.0,"viscosity_mpa_s":320.0},{"temperature_c":25.0,"viscosity_mpa_s":190.0}],"gel_time_points":[{"temperature_c":15.0,"initiator_percent":1.5,"gel_time_min":120.0},{"temperature_c":25.0,"initiator_percent":1.5,"gel_time_min":60.0}],"initiator":{"level_percent":1.5,"least_percent":1.0,"most_percent":2.0}},"steps":[["open","1","start",null,1.0,null,0.0,0.0,0.0,0.0],["open","2","wet_up_to","2",1.0,null,0.0,306.66256627436155,248.74979333842447,378.3863157854846],["clamp","V1","reached","V1",1.0,null,0.0,600.7102620891224,487.18154973628083,741.9503885844185]]}','{"schema_version":1,"tapcall_version":"0.1.0","solver_version":"ortools 9.15.6755","case_name":"tiny panel","case_digest":"802eb7a2fe6d68594b8d074829772a13775f593307321e5baf28eefeda295538","seed":1,"verdict":"verified","reasons":[],"wet_out_s":585.7520104724772,"gel_time_s":5061.162686592348,"gel_limit_s":3542.8138806146435,"gel_margin_s":2957.0618701421663,"permeability_spread_percent":25.0,"permeability_patchy_percent":12.0,"spread_wet_out_s":[472.1858071412432,726.9566134250426],"steps":[{"order":1,"label":"1","line":"line 1","kind":"line","action":"open","trigger":{"kind":"start","place":null,"share":null,"at_s":null,"delay_s":0.0,"says":"at the start","backup":null},"expected_at_s":0.0,"earliest_s":0.0,"latest_s":0.0,"flow_kg_per_min":9.487093166028085,"drawn_kg":0.0},{"order":2,"label":"2","line":"line 2","kind":"line","action":"open","trigger":{"kind":"wet_up_to","place":"2","share":1.0,"at_s":null,"delay_s":0.0,"says":"when nothing dry is left between line 1 and line 2","backup":"or after 0.3 kg"},"expected_at_s":306.66256627436155,"earliest_s":248.74979333842447,"latest_s":378.3863157854846,"flow_kg_per_min":0.4450540375370579,"drawn_kg":0.27964197959332665},{"order":3,"label":"V1","line":"vent V1","kind":"vent","action":"clamp","trigger":{"kind":"reached","place":"V1","share":1.0,"at_s":null,"delay_s":0.0,"says":"when resin stands in vent V1 along its whole length","backup":null},"expected_at_s":600.7102620891224,"earliest_s":487.18154973628083,"latest_s":741.9503885844185,"flow_kg_per_min":0.013757500337066193,"drawn_kg":0.5518099753143242}],"locked":[],"lines":[{"label":"1","line":"1","length_mm":260.0,"bore_mm":12.0,"hose_mm":1000.0,"use":"candidate","opened_at_s":0.0,"reached_at_s":0.979962336516723,"drawn_kg":0.27985560276445093},{"label":"2","line":"2","length_mm":260.0,"bore_mm":12.0,"hose_mm":1000.0,"use":"candidate","opened_at_s":306.66256627436155,"reached_at_s":329.3027054791524,"drawn_kg":0.2719543725498736}],"zones":[{"name":"1 right 1","laminate":"four plies","area_m2":0.015,"arrival_s":0.49096560012629153,"wet_s":75.26343716038546,"fed_by":"1","vent":"V1","path":["1 right 1","2 left 1","2 right 1"]},{"name":"1 right 2","laminate":"four plies","area_m2":0.022499999999999992,"arrival_s":0.49096560012629153,"wet_s":85.08152501426639,"fed_by":"1","vent":"V1","path":["1 right 2","2 left 2","2 right 2"]},{"name":"1 right 3","laminate":"four plies","area_m2":0.0075000000000000015,"arrival_s":0.49096560012629153,"wet_s":69.90219144635915,"fed_by":"1","vent":"V1","path":["1 right 3","2 left 3","2 right 3"]},{"name":"2 left 1","laminate":"four plies","area_m2":0.014999999999999998,"arrival_s":68.15951583438093,"wet_s":291.4603777376169,"fed_by":"1","vent":"V1","path":["2 left 1","2 right 1"]},{"name":"2 left 2","laminate":"four plies","area_m2":0.0225,"arrival_s":68.15951583438093,"wet_s":291.66256627436155,"fed_by":"1","vent":"V1","path":["2 left 2","2 right 2"]},{"name":"2 left 3","laminate":"four plies","area_m2":0.007500000000000003,"arrival_s":68.15951583438093,"wet_s":286.2905018785899,"fed_by":"1","vent":"V1","path":["2 left 3","2 right 3"]},{"name":"2 right 1","laminate":"four plies","area_m2":0.029999999999999995,"arrival_s":319.1383884173134,"wet_s":585.686507057291,"fed_by":"2","vent":"V1","path":["2 right 1"]},{"name":"2 right 2","laminate":"four plies","area_m2":0.045,"arrival_s":319.1383884173134,"wet_s":585.7520104724772,"fed_by":"2","vent":"V1","path":["2 right 2"]},{"name":"2 right 3","laminate":"four plies","area_m2":0.015000000000000006,"arrival_s":319.1383884173134,"wet_s":585.7102620891224,"fed_by":"2","vent":"V1","path":["2 right 3"]}],"resin":{"laminate_kg":0.24395294117647073,"core_kg":0.0,"flow_mesh_kg":0.0,"feed_lines_kg":0.06351546363321701,"hoses_and_manifold_kg":2.4042902447431422,"drawn_into_vents_kg":0.00005132575653771831,"reserve_kg":0.2711809975309368,"total_kg":2.9829909728403043,"initiator_kg":0.044744864592604565,"initiator_percent":1.5,"mixes":null},"consumption":{"time_s":[0.0,1.0,1.0,1.3,2.1,5.6,9.1,14.4,23.7,33.3,44.6,59.6,76.7,94.7,117.7,141.4,167.6,197.8,228.0,263.6,300.4,306.7,331.6,332.8,337.4,347.3,362.9,379.4,396.5,419.5,442.5,468.3,497.8,527.3,555.9,570.8,578.2,582.0,583.8,584.8,585.4,585.9],"drawn_kg":[0.0,0.1553,0.1554,0.1559,0.1581,0.1666,0.1724,0.1772,0.1857,0.193,0.1995,0.207,0.2152,0.222,0.2303,0.2382,0.2456,0.2542,0.2616,0.2699,0.2783,0.2796,0.4647,0.4657,0.4698,0.4752,0.4835,0.4917,0.4981,0.5068,0.5144,0.522,0.5306,0.5378,0.5446,0.5482,0.55,0.5509,0.5513,0.5515,0.5517,0.5518],"flow_kg_per_min":[0.0,9.4871,0.1467,0.1467,0.1467,0.1467,0.0993,0.0551,0.0539,0.046,0.0344,0.0302,0.0288,0.0225,0.0218,0.0198,0.0171,0.0171,0.0145,0.0141,0.0137,0.0129,0.4451,0.0524,0.0524,0.0331,0.0315,0.0301,0.0225,0.0225,0.02,0.0175,0.0175,0.0146,0.0143,0.0143,0.0143,0.0143,0.0143,0.0143,0.0143,0.0138],"manifold_mbar_abs":[20.0,1013.2,1013.3,1013.3,1013.3,1013.3,1013.3,1013.3,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.3,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2],"wet_share":[0.0,0.00557,0.00611,0.0083,0.01704,0.05201,0.07593,0.09555,0.13014,0.16028,0.18671,0.21773,0.25138,0.27899,0.31334,0.34534,0.37591,0.41124,0.44127,0.47547,0.5,0.5,0.64323,0.64739,0.66404,0.68633,0.72,0.75382,0.78022,0.81556,0.847,0.87791,0.91325,0.94279,0.97079,0.9854,0.9927,0.99635,0.99817,0.99909,0.99966,1.0]},"proof":{"status":"best_found","statement":"The best sequence found, not proven best: the zone graph of 7 zones believes in minute 5.2; on the network of 72 cells the last place is wet at minute 9.8; no sequence can be faster than minute 4.7.","zone_count":7,"graph_optimum_s":315.0,"bound_s":279.36715162008215,"rounds":[{"number":1,"graph_wet_out_s":315.0,"solver_status":"optimal","network_wet_out_s":314.32851124611943,"locked_litres":0.05733663182532346,"correction":"1 regions locked; zones cut at 0 of them, and what closed them waits"}],"ended_because":"all turns were used","usual_rules":["Outward on reach from 2 would lock 0.25 litres at x 0.15 m, y 0.15 m, closed by 2 at minute 0.0.","All taps at once would lock 0.11 litres at x 0.15 m, y 0.15 m, closed by 2 and 1 at minute 0.0."]},"candidates":[{"name":"outward bay by bay from 1","admissible":true,"wet_out_s":585.7520104724772,"locked_litres":0.0,"locked_regions":0,"tap_actions":3,"remark":""},{"name":"outward on reach from 1","admissible":true,"wet_out_s":752.1376558237871,"locked_litres":0.0,"locked_regions":0,"tap_actions":3,"remark":""},{"name":"zone graph, turn 1","admissible":false,"wet_out_s":314.32851124611943,"locked_litres":0.05733663182532346,"locked_regions":1,"tap_actions":3,"remark":""},{"name":"all taps at once","admissible":false,"wet_out_s":279.3674177846418,"locked_litres":0.11036323185380513,"locked_regions":1,"tap_actions":3,"remark":""},{"name":"outward bay by bay from 2","admissible":false,"wet_out_s":281.05532696889776,"locked_litres":0.2541236142523466,"locked_regions":1,"tap_actions":3,"remark":""},{"name":"outward on reach from 2","admissible":false,"wet_out_s":281.05532696889776,"locked_litres":0.2541236142523466,"locked_regions":1,"tap_actions":3,"remark":""}],"conditions":{"resin":"demo resin","batch":"not stated","resin_density_kg_per_m3":1080.0,"viscosity_mpa_s":245.48280006314576,"mould_temperature_c":20.0,"resin_temperature_c":20.0,"initiator_percent":1.5,"initiator_range_percent":[1.0,2.0],"gel_time_s":5061.162686592348,"gel_fraction":0.7,"ambient_mbar_abs":1013.25,"vacuum_mbar_abs":20.0,"humidity_percent":50.0,"dew_point_c":9.255174598981284,"supply":"open container at ambient pressure","flow_cap_kg_per_min":null,"pressure_cap_mbar_abs":1013.25,"mix_kg":null,"hands":1,"seconds_per_action":15.0,"drop_test_most_mbar":null,"drop_test_min":null},"assumptions":[{"path":"/sheet/heights","value":"none","why":"the sheet lies level, at height 0"},{"path":"/feed_lines/0/hose_bore_mm","value":"12 mm","why":"the hose is as wide as its line"},{"path":"/feed_lines/1/hose_bore_mm","value":"12 mm","why":"the hose is as wide as its line"},{"path":"/feed_lines/0/use","value":"candidate","why":"the choice of lines is free"},{"path":"/feed_lines/1/use","value":"candidate","why":"the choice of lines is free"},{"path":"/vents/0/catch_pot_litres","value":"5 litres","why":"common practice, no source"},{"path":"/supply/manifold_volume_litres","value":"2 litres","why":"common practice, no source"},{"path":"/resin/batch","value":"not stated","why":"write down the batch of the gel test"},{"path":"/process/ambient_mbar_abs","value":"1013.25 mbar absolute","why":"standard atmosphere; read the barometer"},{"path":"/process/humidity_percent","value":"50 %","why":"only the dew point rests on it; measure it"},{"path":"/process/gel_fraction_percent","value":"70 %","why":"a margin for the age of the resin"},{"path":"/process/smallest_lock_cm2","value":"50 cm2","why":"two cells of 50 mm; decide what matters"},{"path":"/process/longest_run_mm","value":"600 mm","why":"500 to 700 mm is common practice, no source"},{"path":"/process/reserve_percent","value":"10 %","why":"common practice, no source"},{"path":"/process/permeability_spread_percent","value":"25 %","why":"scatter of permeability tests done to one guideline (Vernet et al. 2014, from memory)"},{"path":"/process/permeability_patchy_percent","value":"12 %","why":"scatter within one laboratory, woven fabrics (May et al. 2019, abstract)"},{"path":"/crew/hands","value":"1","why":"the careful choice: one person works all taps"},{"path":"/crew/seconds_per_action","value":"15","why":"common practice, no source"}],"warnings":[],"map":{"outlines":[{"border_mm":[[0.0,0.0],[600.0,0.0],[600.0,300.0],[0.0,300.0]],"holes_mm":[]}],"areas":[],"runs":[{"label":"1","kind":"line","run_mm":[[20.0,20.0],[20.0,280.0]],"order":1,"inlet_mm":[20.0,20.0]},{"label":"2","kind":"line","run_mm":[[300.0,20.0],[300.0,280.0]],"order":2,"inlet_mm":[300.0,20.0]},{"label":"V1","kind":"vent","run_mm":[[580.0,20.0],[580.0,280.0]],"order":3,"inlet_mm":null}],"cell_mm":50.0,"x_mm":[25.0,25.0,25.0,25.0,25.0,25.0,75.0,75.0,75.0,75.0,75.0,75.0,125.0,125.0,125.0,125.0,125.0,125.0,175.0,175.0,175.0,175.0,175.0,175.0,225.0,225.0,225.0,225.0,225.0,225.0,275.0,275.0,275.0,275.0,275.0,275.0,325.0,325.0,325.0,325.0,325.0,325.0,375.0,375.0,375.0,375.0,375.0,375.0,425.0,425.0,425.0,425.0,425.0,425.0,475.0,475.0,475.0,475.0,475.0,475.0,525.0,525.0,525.0,525.0,525.0,525.0,575.0,575.0,575.0,575.0,575.0,575.0],"y_mm":[25.0,75.0,125.0,175.0,225.0,275.0,25.0,75.0,125.0,175.0,225.0,275.0,25.0,75.0,125.0,175.0,225.0,275.0,25.0,75.0,125.0,175.0,225.0,275.0,25.0,75.0,125.0,175.0,225.0,275.0,25.0,75.0,125.0,175.0,225.0,275.0,25.0,75.0,125.0,175.0,225.0,275.0,25.0,75.0,125.0,175.0,225.0,275.0,25.0,75.0,125.0,175.0,225.0,275.0,25.0,75.0,125.0,175.0,225.0,275.0,25.0,75.0,125.0,175.0,225.0,275.0,25.0,75.0,125.0,175.0,225.0,275.0],"wet_s":[7.8,8.1,22.9,8.5,8.2,7.8,30.6,32.8,44.2,33.4,31.0,30.2,72.1,75.3,85.1,75.3,71.5,69.9,130.6,133.7,136.9,133.2,128.8,126.3,203.1,205.6,207.6,204.4,199.9,197.4,290.7,291.5,291.7,289.9,287.7,286.3,328.4,328.8,329.1,329.1,329.7,330.6,338.6,338.6,338.6,338.6,338.6,338.6,377.5,377.5,377.5,377.5,377.5,377.5,432.5,432.5,432.5,432.5,432.5,432.5,501.2,501.2,501.2,501.2,501.2,501.2,585.7,585.7,585.8,585.7,585.7,585.7],"triangles":null},"effort":{"cells":72,"network_nodes":85,"network_links":149,"network_runs":25,"front_steps":1006,"linear_solves":1127}}');
INSERT INTO "plans" VALUES('plan_b9e593d1845f41af5b01b7b7','job_9b8a582cfb0344adad5a948c6ce3e42b','8a3375e0e5ee667a1018f4cf42405c61d736b457456bf9802cb3c17a8745d577','tiny panel','Demo vinyl ester','A-117','0.1.0','verified',5.85752010472477195428e+02,2.95706187014216629899e+03,'b9e593d1845f41af5b01b7b7f2c979c2826d4ae765ec5c4d9906cc58fddf6b1c','2026-11-25 18:30:19.644083','{"version":1,"software_version":"0.1.0","admissible":true,"other_failure":null,"wet_out_s":585.7520104724772,"spread_wet_out_s":[472.1858071412432,726.9566134250426],"gel_time_s":5061.162686592348,"gel_limit_s":3542.8138806146435,"gel_fraction":0.7,"viscosity_pa_s":0.24548280006314577,"driving_pa":99325.0,"ambient_mbar_abs":1013.25,"vacuum_mbar_abs":20.0,"pressure_cap_mbar_abs":null,"flow_capped":false,"mould_temperature_c":20.0,"resin_temperature_c":20.0,"action_s":15.0,"heights_matter":false,"uptake_by_weight":false,"resin":{"name":"Demo vinyl ester","batch":"A-117","density_kg_m3":1080.0,"viscosity_points":[{"temperature_c":15.0,"viscosity_mpa_s":320.0},{"temperature_c":25.0,"viscosity_mpa_s":190.0}],"gel_time_points":[{"temperature_c":15.0,"initiator_percent":1.5,"gel_time_min":120.0},{"temperature_c":25.0,"initiator_percent":1.5,"gel_time_min":60.0}],"initiator":{"level_percent":1.5,"least_percent":1.0,"most_percent":2.0}},"steps":[["open","1","start",null,1.0,null,0.0,0.0,0.0,0.0],["open","2","wet_up_to","2",1.0,null,0.0,306.66256627436155,248.74979333842447,378.3863157854846],["clamp","V1","reached","V1",1.0,null,0.0,600.7102620891224,487.18154973628083,741.9503885844185]]}','{"schema_version":1,"tapcall_version":"0.1.0","solver_version":"ortools 9.15.6755","case_name":"tiny panel","case_digest":"8a3375e0e5ee667a1018f4cf42405c61d736b457456bf9802cb3c17a8745d577","seed":1,"verdict":"verified","reasons":[],"wet_out_s":585.7520104724772,"gel_time_s":5061.162686592348,"gel_limit_s":3542.8138806146435,"gel_margin_s":2957.0618701421663,"permeability_spread_percent":25.0,"permeability_patchy_percent":12.0,"spread_wet_out_s":[472.1858071412432,726.9566134250426],"steps":[{"order":1,"label":"1","line":"line 1","kind":"line","action":"open","trigger":{"kind":"start","place":null,"share":null,"at_s":null,"delay_s":0.0,"says":"at the start","backup":null},"expected_at_s":0.0,"earliest_s":0.0,"latest_s":0.0,"flow_kg_per_min":9.487093166028085,"drawn_kg":0.0},{"order":2,"label":"2","line":"line 2","kind":"line","action":"open","trigger":{"kind":"wet_up_to","place":"2","share":1.0,"at_s":null,"delay_s":0.0,"says":"when nothing dry is left between line 1 and line 2","backup":"or after 0.3 kg"},"expected_at_s":306.66256627436155,"earliest_s":248.74979333842447,"latest_s":378.3863157854846,"flow_kg_per_min":0.4450540375370579,"drawn_kg":0.27964197959332665},{"order":3,"label":"V1","line":"vent V1","kind":"vent","action":"clamp","trigger":{"kind":"reached","place":"V1","share":1.0,"at_s":null,"delay_s":0.0,"says":"when resin stands in vent V1 along its whole length","backup":null},"expected_at_s":600.7102620891224,"earliest_s":487.18154973628083,"latest_s":741.9503885844185,"flow_kg_per_min":0.013757500337066193,"drawn_kg":0.5518099753143242}],"locked":[],"lines":[{"label":"1","line":"1","length_mm":260.0,"bore_mm":12.0,"hose_mm":1000.0,"use":"candidate","opened_at_s":0.0,"reached_at_s":0.979962336516723,"drawn_kg":0.27985560276445093},{"label":"2","line":"2","length_mm":260.0,"bore_mm":12.0,"hose_mm":1000.0,"use":"candidate","opened_at_s":306.66256627436155,"reached_at_s":329.3027054791524,"drawn_kg":0.2719543725498736}],"zones":[{"name":"1 right 1","laminate":"four plies","area_m2":0.015,"arrival_s":0.49096560012629153,"wet_s":75.26343716038546,"fed_by":"1","vent":"V1","path":["1 right 1","2 left 1","2 right 1"]},{"name":"1 right 2","laminate":"four plies","area_m2":0.022499999999999992,"arrival_s":0.49096560012629153,"wet_s":85.08152501426639,"fed_by":"1","vent":"V1","path":["1 right 2","2 left 2","2 right 2"]},{"name":"1 right 3","laminate":"four plies","area_m2":0.0075000000000000015,"arrival_s":0.49096560012629153,"wet_s":69.90219144635915,"fed_by":"1","vent":"V1","path":["1 right 3","2 left 3","2 right 3"]},{"name":"2 left 1","laminate":"four plies","area_m2":0.014999999999999998,"arrival_s":68.15951583438093,"wet_s":291.4603777376169,"fed_by":"1","vent":"V1","path":["2 left 1","2 right 1"]},{"name":"2 left 2","laminate":"four plies","area_m2":0.0225,"arrival_s":68.15951583438093,"wet_s":291.66256627436155,"fed_by":"1","vent":"V1","path":["2 left 2","2 right 2"]},{"name":"2 left 3","laminate":"four plies","area_m2":0.007500000000000003,"arrival_s":68.15951583438093,"wet_s":286.2905018785899,"fed_by":"1","vent":"V1","path":["2 left 3","2 right 3"]},{"name":"2 right 1","laminate":"four plies","area_m2":0.029999999999999995,"arrival_s":319.1383884173134,"wet_s":585.686507057291,"fed_by":"2","vent":"V1","path":["2 right 1"]},{"name":"2 right 2","laminate":"four plies","area_m2":0.045,"arrival_s":319.1383884173134,"wet_s":585.7520104724772,"fed_by":"2","vent":"V1","path":["2 right 2"]},{"name":"2 right 3","laminate":"four plies","area_m2":0.015000000000000006,"arrival_s":319.1383884173134,"wet_s":585.7102620891224,"fed_by":"2","vent":"V1","path":["2 right 3"]}],"resin":{"laminate_kg":0.24395294117647073,"core_kg":0.0,"flow_mesh_kg":0.0,"feed_lines_kg":0.06351546363321701,"hoses_and_manifold_kg":2.4042902447431422,"drawn_into_vents_kg":0.00005132575653771831,"reserve_kg":0.2711809975309368,"total_kg":2.9829909728403043,"initiator_kg":0.044744864592604565,"initiator_percent":1.5,"mixes":null},"consumption":{"time_s":[0.0,1.0,1.0,1.3,2.1,5.6,9.1,14.4,23.7,33.3,44.6,59.6,76.7,94.7,117.7,141.4,167.6,197.8,228.0,263.6,300.4,306.7,331.6,332.8,337.4,347.3,362.9,379.4,396.5,419.5,442.5,468.3,497.8,527.3,555.9,570.8,578.2,582.0,583.8,584.8,585.4,585.9],"drawn_kg":[0.0,0.1553,0.1554,0.1559,0.1581,0.1666,0.1724,0.1772,0.1857,0.193,0.1995,0.207,0.2152,0.222,0.2303,0.2382,0.2456,0.2542,0.2616,0.2699,0.2783,0.2796,0.4647,0.4657,0.4698,0.4752,0.4835,0.4917,0.4981,0.5068,0.5144,0.522,0.5306,0.5378,0.5446,0.5482,0.55,0.5509,0.5513,0.5515,0.5517,0.5518],"flow_kg_per_min":[0.0,9.4871,0.1467,0.1467,0.1467,0.1467,0.0993,0.0551,0.0539,0.046,0.0344,0.0302,0.0288,0.0225,0.0218,0.0198,0.0171,0.0171,0.0145,0.0141,0.0137,0.0129,0.4451,0.0524,0.0524,0.0331,0.0315,0.0301,0.0225,0.0225,0.02,0.0175,0.0175,0.0146,0.0143,0.0143,0.0143,0.0143,0.0143,0.0143,0.0143,0.0138],"manifold_mbar_abs":[20.0,1013.2,1013.3,1013.3,1013.3,1013.3,1013.3,1013.3,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.3,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2,1013.2],"wet_share":[0.0,0.00557,0.00611,0.0083,0.01704,0.05201,0.07593,0.09555,0.13014,0.16028,0.18671,0.21773,0.25138,0.27899,0.31334,0.34534,0.37591,0.41124,0.44127,0.47547,0.5,0.5,0.64323,0.64739,0.66404,0.68633,0.72,0.75382,0.78022,0.81556,0.847,0.87791,0.91325,0.94279,0.97079,0.9854,0.9927,0.99635,0.99817,0.99909,0.99966,1.0]},"proof":{"status":"best_found","statement":"The best sequence found, not proven best: the zone graph of 7 zones believes in minute 5.2; on the network of 72 cells the last place is wet at minute 9.8; no sequence can be faster than minute 4.7.","zone_count":7,"graph_optimum_s":315.0,"bound_s":279.36715162008215,"rounds":[{"number":1,"graph_wet_out_s":315.0,"solver_status":"optimal","network_wet_out_s":314.32851124611943,"locked_litres":0.05733663182532346,"correction":"1 regions locked; zones cut at 0 of them, and what closed them waits"}],"ended_because":"all turns were used","usual_rules":["Outward on reach from 2 would lock 0.25 litres at x 0.15 m, y 0.15 m, closed by 2 at minute 0.0.","All taps at once would lock 0.11 litres at x 0.15 m, y 0.15 m, closed by 2 and 1 at minute 0.0."]},"candidates":[{"name":"outward bay by bay from 1","admissible":true,"wet_out_s":585.7520104724772,"locked_litres":0.0,"locked_regions":0,"tap_actions":3,"remark":""},{"name":"outward on reach from 1","admissible":true,"wet_out_s":752.1376558237871,"locked_litres":0.0,"locked_regions":0,"tap_actions":3,"remark":""},{"name":"zone graph, turn 1","admissible":false,"wet_out_s":314.32851124611943,"locked_litres":0.05733663182532346,"locked_regions":1,"tap_actions":3,"remark":""},{"name":"all taps at once","admissible":false,"wet_out_s":279.3674177846418,"locked_litres":0.11036323185380513,"locked_regions":1,"tap_actions":3,"remark":""},{"name":"outward bay by bay from 2","admissible":false,"wet_out_s":281.05532696889776,"locked_litres":0.2541236142523466,"locked_regions":1,"tap_actions":3,"remark":""},{"name":"outward on reach from 2","admissible":false,"wet_out_s":281.05532696889776,"locked_litres":0.2541236142523466,"locked_regions":1,"tap_actions":3,"remark":""}],"conditions":{"resin":"Demo vinyl ester","batch":"A-117","resin_density_kg_per_m3":1080.0,"viscosity_mpa_s":245.48280006314576,"mould_temperature_c":20.0,"resin_temperature_c":20.0,"initiator_percent":1.5,"initiator_range_percent":[1.0,2.0],"gel_time_s":5061.162686592348,"gel_fraction":0.7,"ambient_mbar_abs":1013.25,"vacuum_mbar_abs":20.0,"humidity_percent":50.0,"dew_point_c":9.255174598981284,"supply":"open container at ambient pressure","flow_cap_kg_per_min":null,"pressure_cap_mbar_abs":1013.25,"mix_kg":null,"hands":1,"seconds_per_action":15.0,"drop_test_most_mbar":null,"drop_test_min":null},"assumptions":[{"path":"/sheet/heights","value":"none","why":"the sheet lies level, at height 0"},{"path":"/feed_lines/0/hose_bore_mm","value":"12 mm","why":"the hose is as wide as its line"},{"path":"/feed_lines/1/hose_bore_mm","value":"12 mm","why":"the hose is as wide as its line"},{"path":"/feed_lines/0/use","value":"candidate","why":"the choice of lines is free"},{"path":"/feed_lines/1/use","value":"candidate","why":"the choice of lines is free"},{"path":"/vents/0/catch_pot_litres","value":"5 litres","why":"common practice, no source"},{"path":"/supply/manifold_volume_litres","value":"2 litres","why":"common practice, no source"},{"path":"/process/ambient_mbar_abs","value":"1013.25 mbar absolute","why":"standard atmosphere; read the barometer"},{"path":"/process/humidity_percent","value":"50 %","why":"only the dew point rests on it; measure it"},{"path":"/process/gel_fraction_percent","value":"70 %","why":"a margin for the age of the resin"},{"path":"/process/smallest_lock_cm2","value":"50 cm2","why":"two cells of 50 mm; decide what matters"},{"path":"/process/longest_run_mm","value":"600 mm","why":"500 to 700 mm is common practice, no source"},{"path":"/process/reserve_percent","value":"10 %","why":"common practice, no source"},{"path":"/process/permeability_spread_percent","value":"25 %","why":"scatter of permeability tests done to one guideline (Vernet et al. 2014, from memory)"},{"path":"/process/permeability_patchy_percent","value":"12 %","why":"scatter within one laboratory, woven fabrics (May et al. 2019, abstract)"},{"path":"/crew/hands","value":"1","why":"the careful choice: one person works all taps"},{"path":"/crew/seconds_per_action","value":"15","why":"common practice, no source"}],"warnings":[],"map":{"outlines":[{"border_mm":[[0.0,0.0],[600.0,0.0],[600.0,300.0],[0.0,300.0]],"holes_mm":[]}],"areas":[],"runs":[{"label":"1","kind":"line","run_mm":[[20.0,20.0],[20.0,280.0]],"order":1,"inlet_mm":[20.0,20.0]},{"label":"2","kind":"line","run_mm":[[300.0,20.0],[300.0,280.0]],"order":2,"inlet_mm":[300.0,20.0]},{"label":"V1","kind":"vent","run_mm":[[580.0,20.0],[580.0,280.0]],"order":3,"inlet_mm":null}],"cell_mm":50.0,"x_mm":[25.0,25.0,25.0,25.0,25.0,25.0,75.0,75.0,75.0,75.0,75.0,75.0,125.0,125.0,125.0,125.0,125.0,125.0,175.0,175.0,175.0,175.0,175.0,175.0,225.0,225.0,225.0,225.0,225.0,225.0,275.0,275.0,275.0,275.0,275.0,275.0,325.0,325.0,325.0,325.0,325.0,325.0,375.0,375.0,375.0,375.0,375.0,375.0,425.0,425.0,425.0,425.0,425.0,425.0,475.0,475.0,475.0,475.0,475.0,475.0,525.0,525.0,525.0,525.0,525.0,525.0,575.0,575.0,575.0,575.0,575.0,575.0],"y_mm":[25.0,75.0,125.0,175.0,225.0,275.0,25.0,75.0,125.0,175.0,225.0,275.0,25.0,75.0,125.0,175.0,225.0,275.0,25.0,75.0,125.0,175.0,225.0,275.0,25.0,75.0,125.0,175.0,225.0,275.0,25.0,75.0,125.0,175.0,225.0,275.0,25.0,75.0,125.0,175.0,225.0,275.0,25.0,75.0,125.0,175.0,225.0,275.0,25.0,75.0,125.0,175.0,225.0,275.0,25.0,75.0,125.0,175.0,225.0,275.0,25.0,75.0,125.0,175.0,225.0,275.0,25.0,75.0,125.0,175.0,225.0,275.0],"wet_s":[7.8,8.1,22.9,8.5,8.2,7.8,30.6,32.8,44.2,33.4,31.0,30.2,72.1,75.3,85.1,75.3,71.5,69.9,130.6,133.7,136.9,133.2,128.8,126.3,203.1,205.6,207.6,204.4,199.9,197.4,290.7,291.5,291.7,289.9,287.7,286.3,328.4,328.8,329.1,329.1,329.7,330.6,338.6,338.6,338.6,338.6,338.6,338.6,377.5,377.5,377.5,377.5,377.5,377.5,432.5,432.5,432.5,432.5,432.5,432.5,501.2,501.2,501.2,501.2,501.2,501.2,585.7,585.7,585.8,585.7,585.7,585.7],"triangles":null},"effort":{"cells":72,"network_nodes":85,"network_links":149,"network_runs":25,"front_steps":1006,"linear_solves":1127}}');
CREATE TABLE revalidation_items (
	run_id VARCHAR(40) NOT NULL, 
	number INTEGER NOT NULL, 
	plan_id VARCHAR(40) NOT NULL, 
	state VARCHAR(16) NOT NULL, 
	tries INTEGER NOT NULL, 
	answer VARCHAR(24), 
	decided_by VARCHAR(16), 
	wet_out_before_s FLOAT, 
	wet_out_after_s FLOAT, 
	gel_limit_before_s FLOAT, 
	gel_limit_after_s FLOAT, 
	reason TEXT, 
	plan_job_id VARCHAR(40), 
	decided_at DATETIME, 
	PRIMARY KEY (run_id, number), 
	CONSTRAINT known_item_state CHECK (state IN ('open', 'answered', 'set_aside')), 
	CONSTRAINT answered_has_answer CHECK ((state = 'answered') = (answer IS NOT NULL)), 
	FOREIGN KEY(run_id) REFERENCES revalidations (id), 
	FOREIGN KEY(plan_id) REFERENCES plans (id), 
	FOREIGN KEY(plan_job_id) REFERENCES jobs (id)
);
INSERT INTO "revalidation_items" VALUES('revalidation_4b139df27f2c4f8c8e3ebc54',1,'plan_0d5c503e672969f6a5594f14','answered',0,'new_clock','look_up',5.85752010472477195428e+02,5.85752010472477195428e+02,3.54281388061464349442e+03,3.30640770603387909435e+03,'valid, wet at minute 9.8, limit minute 55.1; print again: the sheet states the mould at 20 and not at 21 degrees C; gel moves from minute 84.4 to 78.7; the gel limit moves from minute 59.0 to 55.1',NULL,'2026-11-25 18:30:28.207349');
INSERT INTO "revalidation_items" VALUES('revalidation_4b139df27f2c4f8c8e3ebc54',2,'plan_b9e593d1845f41af5b01b7b7','answered',0,'new_clock','look_up',5.85752010472477195428e+02,5.85752010472477195428e+02,3.54281388061464349442e+03,3.30640770603387909435e+03,'valid, wet at minute 9.8, limit minute 55.1; print again: the sheet states the mould at 20 and not at 21 degrees C; gel moves from minute 84.4 to 78.7; the gel limit moves from minute 59.0 to 55.1',NULL,'2026-11-25 18:30:28.207349');
CREATE TABLE revalidations (
	id VARCHAR(40) NOT NULL, 
	job_id VARCHAR(40) NOT NULL, 
	change TEXT NOT NULL, 
	said TEXT NOT NULL, 
	chosen TEXT NOT NULL, 
	plan_again VARCHAR(16) NOT NULL, 
	asked INTEGER NOT NULL, 
	created_at DATETIME NOT NULL, 
	created_by VARCHAR(40), 
	PRIMARY KEY (id), 
	CONSTRAINT known_plan_again CHECK (plan_again IN ('never', 'invalid', 'all')), 
	UNIQUE (job_id), 
	FOREIGN KEY(job_id) REFERENCES jobs (id)
);
INSERT INTO "revalidations" VALUES('revalidation_4b139df27f2c4f8c8e3ebc54','job_2f650968de5e4f828e142cf1c9b9ad2a','{"mould_temperature_c":21.0}','["the mould is at 21 degrees C"]','{"layout_id": "layout_ecc0444ec1ad40858a6e1f09d484012d", "resin": null, "batch": null, "verdict": null, "name": null}','never',2,'2026-11-25 18:30:19.963959',NULL);
CREATE TABLE revisions (
	document_id VARCHAR(40) NOT NULL, 
	revision INTEGER NOT NULL, 
	digest VARCHAR(64) NOT NULL, 
	created_at DATETIME NOT NULL, 
	created_by VARCHAR(40), 
	source BLOB NOT NULL, 
	PRIMARY KEY (document_id, revision), 
	FOREIGN KEY(document_id) REFERENCES documents (id)
);
INSERT INTO "revisions" VALUES('layout_ecc0444ec1ad40858a6e1f09d484012d',1,'802eb7a2fe6d68594b8d074829772a13775f593307321e5baf28eefeda295538','2026-11-25 18:29:50.582374',NULL,X'23204120666C61742070616E656C206F662036303020627920333030206D6D20776974682074776F206C696E657320616E6420612076656E743A20656E6F75676820746F20706C616E2C20736D616C6C20656E6F75676820746F20706C616E20696E2061206D6F6D656E742E0A2320416C6C2076616C7565732061726520696E76656E7465642E0A736368656D615F76657273696F6E3A20310A6E616D653A2074696E792070616E656C0A73686565743A0A20206F75746C696E65733A0A202020202D206E616D653A2070616E656C0A202020202020626F726465725F6D6D3A205B5B302C20305D2C205B3630302C20305D2C205B3630302C203330305D2C205B302C203330305D5D0A7265696E666F7263656D656E74733A0A2020636C6F74683A0A2020202066696272655F64656E736974795F6B675F6D333A20323535300A20202020617265616C5F7765696768745F675F6D323A203830300A202020207065726D656162696C6974793A0A2020202020206D656173757265643A207B616C6F6E675F6D323A20322E30652D31302C206163726F73735F6D323A20322E30652D31302C2061745F66696272655F766F6C756D655F70657263656E743A2035307D0A6C616D696E617465733A0A2020666F757220706C6965733A0A2020202066696272655F766F6C756D655F70657263656E743A2035300A202020206C61796572733A205B7B706C793A20636C6F74682C20616E676C655F6465673A20302C20636F756E743A20347D5D0A61726561733A0A20202D207B6E616D653A2070616E656C2C206C616D696E6174653A20666F757220706C6965732C20626F726465725F6D6D3A206E756C6C7D0A666565645F6C696E65733A0A20202D206E616D653A202231220A20202020626F72655F6D6D3A2031320A2020202073656374696F6E733A205B7B72756E5F6D6D3A205B5B32302C2032305D2C205B32302C203238305D5D2C20686F73655F6C656E6774685F6D6D3A20313030302C20696E6C65743A2073746172747D5D0A20202D206E616D653A202232220A20202020626F72655F6D6D3A2031320A2020202073656374696F6E733A205B7B72756E5F6D6D3A205B5B3330302C2032305D2C205B3330302C203238305D5D2C20686F73655F6C656E6774685F6D6D3A20313030302C20696E6C65743A2073746172747D5D0A76656E74733A0A20202D207B6E616D653A2056312C2072756E5F6D6D3A205B5B3538302C2032305D2C205B3538302C203238305D5D2C20626F72655F6D6D3A2031322C20686F73655F6C656E6774685F6D6D3A20313030307D0A737570706C793A207B6B696E643A206F70656E5F636F6E7461696E65722C20737572666163655F6865696768745F6D6D3A20307D0A726573696E3A0A20206E616D653A2064656D6F20726573696E0A202064656E736974795F6B675F6D333A20313038300A2020766973636F736974795F706F696E74733A205B7B74656D70657261747572655F633A2031352C20766973636F736974795F6D70615F733A203332307D2C207B74656D70657261747572655F633A2032352C20766973636F736974795F6D70615F733A203139307D5D0A202067656C5F74696D655F706F696E74733A0A202020202D207B74656D70657261747572655F633A2031352C20696E69746961746F725F70657263656E743A20312E352C2067656C5F74696D655F6D696E3A203132307D0A202020202D207B74656D70657261747572655F633A2032352C20696E69746961746F725F70657263656E743A20312E352C2067656C5F74696D655F6D696E3A2036307D0A2020696E69746961746F723A207B6C6576656C5F70657263656E743A20312E352C206C656173745F70657263656E743A20312E302C206D6F73745F70657263656E743A20322E307D0A70726F636573733A207B76616375756D5F6D6261725F6162733A2032302C206D6F756C645F74656D70657261747572655F633A2032302C20726573696E5F74656D70657261747572655F633A2032307D0A7365617263683A207B63656C6C5F6D6D3A2035302C20636F617273655F63656C6C5F6D6D3A203130302C206D6F73745F7A6F6E65733A2031302C20726F756E64733A20312C20736F6C7665725F6566666F72743A20302E327D0A');
INSERT INTO "revisions" VALUES('resin_0ef8f8000b9d42a99e8d749498fed436',1,'ac02c6447d3c6236b030cdcf3eeb3505e98ed2841da0b5454803f1c0c9f058bc','2026-11-25 18:29:50.643232',NULL,X'7B22736368656D615F76657273696F6E223A312C226E616D65223A2244656D6F2076696E796C206573746572222C2264656E736974795F6B675F6D33223A313038302C22766973636F736974795F706F696E7473223A5B7B2274656D70657261747572655F63223A31352C22766973636F736974795F6D70615F73223A3332307D2C7B2274656D70657261747572655F63223A32352C22766973636F736974795F6D70615F73223A3139307D5D2C2267656C5F74696D655F706F696E7473223A5B7B2274656D70657261747572655F63223A31352C22696E69746961746F725F70657263656E74223A312E352C2267656C5F74696D655F6D696E223A3132307D2C7B2274656D70657261747572655F63223A32352C22696E69746961746F725F70657263656E74223A312E352C2267656C5F74696D655F6D696E223A36307D5D2C22696E69746961746F72223A7B226C656173745F70657263656E74223A312E302C226D6F73745F70657263656E74223A322E307D2C2262617463686573223A5B7B226261746368223A22412D313137227D5D7D');
CREATE TABLE webhooks (
	id VARCHAR(40) NOT NULL, 
	url TEXT NOT NULL, 
	events TEXT NOT NULL, 
	secret TEXT NOT NULL, 
	earlier_secret TEXT, 
	earlier_secret_until DATETIME, 
	created_at DATETIME NOT NULL, 
	created_by VARCHAR(40), 
	ended_at DATETIME, 
	ended_because TEXT, 
	PRIMARY KEY (id)
);
CREATE UNIQUE INDEX one_running_attempt ON attempts (job_id) WHERE outcome IS NULL;
CREATE INDEX attempts_of_a_job ON attempts (job_id, number);
CREATE INDEX events_of_a_job ON job_events (job_id, id);
CREATE INDEX documents_newest ON documents (kind, created_at, id);
CREATE INDEX documents_by_name ON documents (kind, name, created_at, id);
CREATE INDEX documents_by_digest ON documents (kind, digest);
CREATE INDEX jobs_newest ON jobs (created_at, id);
CREATE UNIQUE INDEX one_job_for_a_question ON jobs (question) WHERE state NOT IN ('failed', 'cancelled');
CREATE INDEX jobs_of_a_case ON jobs (case_digest, created_at);
CREATE INDEX jobs_by_state ON jobs (state, created_at, id);
CREATE INDEX jobs_by_kind ON jobs (kind, created_at, id, state);
CREATE INDEX jobs_by_change ON jobs (updated_at, id);
CREATE INDEX plans_newest ON plans (created_at, id);
CREATE INDEX plans_of_a_case ON plans (case_digest);
CREATE INDEX plans_by_name ON plans (name, created_at, id);
CREATE INDEX plans_by_resin ON plans (resin, created_at, id);
CREATE INDEX plans_by_batch ON plans (batch, created_at, id);
CREATE INDEX plans_by_verdict ON plans (verdict, created_at, id);
CREATE INDEX revalidations_newest ON revalidations (created_at, id);
CREATE INDEX items_by_state ON revalidation_items (run_id, state, number);
CREATE INDEX replies_by_age ON idempotent_replies (created_at);
CREATE INDEX deliveries_of_a_webhook ON deliveries (webhook_id, created_at, id);
CREATE INDEX deliveries_due ON deliveries (due_at, webhook_id) WHERE due_at IS NOT NULL;
CREATE INDEX cases_asked_from_a_layout ON case_origins (layout_id, case_digest);
COMMIT;
