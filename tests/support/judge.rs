//! A JSON schema of docs, ready to judge.

use boon::{Compiler, Schemas};
use serde_json::Value;

pub struct Judge {
    schemas: Schemas,
    schema: boon::SchemaIndex,
}

impl Judge {
    pub fn new(text: &str) -> Self {
        let name = "schema.json";
        let mut compiler = Compiler::new();
        // Times and dates are held to their formats as well.
        compiler.enable_format_assertions();
        let text: Value = serde_json::from_str(text).unwrap();
        compiler.add_resource(name, text).unwrap();
        let mut schemas = Schemas::new();
        let schema = compiler
            .compile(name, &mut schemas)
            .unwrap_or_else(|error| panic!("{error:#}"));
        Self { schemas, schema }
    }

    pub fn fault(&self, value: &Value) -> Option<String> {
        let result = self.schemas.validate(value, self.schema);
        result.err().map(|error| format!("{error:#}"))
    }

    #[track_caller]
    pub fn holds(&self, json: &[u8], what: &str) -> Value {
        let value: Value = serde_json::from_slice(json).unwrap();
        if let Some(fault) = self.fault(&value) {
            panic!("{what}: {fault}");
        }
        value
    }
}
