//! Reading and verifying the audit trail, as the routes and the command line ask for it.
//!
//! Absent here: writing it, which the store does inside the transaction of each change.

pub use crate::store::StoreError;
pub use crate::store::audit::AuditEntry;
pub use crate::store::audit::AuditFault;
pub use crate::store::audit::AuditFilter;
pub use crate::store::audit::Head;
pub use crate::store::audit::Verdict;
pub use crate::store::audit::audit_entries;
pub use crate::store::audit::audit_head;
pub use crate::store::audit::verify_audit;
