//! What stands in the result of thousands of portraits and is held once.

use schemars::JsonSchema;
use schemars::Schema;
use schemars::SchemaGenerator;
use serde::Serialize;
use serde::Serializer;
use std::borrow::Cow;
use std::ops::Deref;
use std::sync::Arc;

/// A value that many results share. It is written and compared as the value itself.
#[derive(Debug, Clone, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Shared<T>(Arc<T>);

impl<T> Shared<T> {
    pub(super) fn new(value: T) -> Self {
        Self(Arc::new(value))
    }
}

impl<T> Deref for Shared<T> {
    type Target = T;

    fn deref(&self) -> &T {
        &self.0
    }
}

impl<T: Serialize> Serialize for Shared<T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        T::serialize(&self.0, serializer)
    }
}

impl<T: JsonSchema> JsonSchema for Shared<T> {
    fn inline_schema() -> bool {
        T::inline_schema()
    }

    fn schema_name() -> Cow<'static, str> {
        T::schema_name()
    }

    fn schema_id() -> Cow<'static, str> {
        T::schema_id()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        T::json_schema(generator)
    }
}
