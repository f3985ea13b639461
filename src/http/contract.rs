//! A request type's published schema, compiled, so that what is published is what is enforced.
//!
//! Every body and query passes its contract before it becomes a Rust value: bounds, forms and names in the published
//! description can never be documentation only. Compiled once for each type, on its first use.
//! Absent here: the sentences (`violations`).

use jsonschema::Validator;
use serde_json::Value;
use serde_json::json;
use std::any::TypeId;
use std::collections::BTreeMap;
use std::sync::Arc;
use std::sync::Mutex;
use std::sync::PoisonError;
use utoipa::ToSchema;

use crate::http::limits;
use crate::http::problem::FieldError;
use crate::http::problem::Problem;
use crate::http::violations;

/// A schema and its compiled form.
#[derive(Debug)]
pub struct Contract {
    schema: Value,
    validator: Validator,
}

type Contracts = BTreeMap<TypeId, Arc<Contract>>;

static CONTRACTS: Mutex<Contracts> = Mutex::new(BTreeMap::new());

impl Contract {
    /// The contract of a body type: its schema with all that it refers to.
    ///
    /// Fails with 500 if the schema does not compile, which a test of the route shows at once.
    pub fn of_body<T: ToSchema + 'static>() -> Result<Arc<Self>, Problem> {
        Self::kept::<T, _>(|| {
            let mut schemas = vec![(T::name().into_owned(), T::schema())];
            T::schemas(&mut schemas);
            let schemas = schemas.into_iter().collect::<BTreeMap<_, _>>();
            let root = format!("#/components/schemas/{}", T::name());
            json!({ "$ref": root, "components": { "schemas": schemas } })
        })
    }

    /// The contract kept for a type, made by the function on first use.
    pub fn kept<T, F>(schema: F) -> Result<Arc<Self>, Problem>
    where
        T: 'static,
        F: FnOnce() -> Value,
    {
        // A thread that panicked here has left the map whole: entries are inserted complete.
        let mut contracts = CONTRACTS.lock().unwrap_or_else(PoisonError::into_inner);
        let key = TypeId::of::<T>();
        if let Some(contract) = contracts.get(&key) {
            return Ok(Arc::clone(contract));
        }
        let contract = Arc::new(Self::compile(schema())?);
        contracts.insert(key, Arc::clone(&contract));
        drop(contracts);
        Ok(contract)
    }

    fn compile(schema: Value) -> Result<Self, Problem> {
        let validator = jsonschema::options()
            .should_validate_formats(false)
            .build(&schema)
            .map_err(|error| Problem::internal("compiling a published schema", &error))?;
        Ok(Self { schema, validator })
    }

    /// Every way in which a value breaks the contract; none when it holds. The search ends one beyond the most that a
    /// problem document lists, so that a body of nothing but errors costs little.
    pub fn check(&self, value: &Value) -> Vec<FieldError> {
        if self.validator.is_valid(value) {
            return Vec::new();
        }
        let errors = self.validator.iter_errors(value);
        let explained = errors.flat_map(|error| violations::explain(&self.schema, &error));
        explained.take(limits::FIELD_ERRORS_MAX.saturating_add(1)).collect()
    }
}
