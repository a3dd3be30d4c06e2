//! The engine that runs scripts, built from nothing: no file, clock, sleep,
//! import, eval, loop or output, and every limit set, the same in every
//! build.

use rhai::packages::{BasicStringPackage, LogicPackage, Package};
use rhai::{Engine, OptimizationLevel};

/// Steps a rule may take; a rule of forty lines takes a few hundred.
const MAX_OPERATIONS: u64 = 20_000;
/// Depth of expressions, inside a function and out of it.
const MAX_EXPR_DEPTH: usize = 48;
/// Bytes of the longest text.
const MAX_TEXT: usize = 8_192;

/// A new engine that knows what rules may call.
pub(super) fn engine() -> Engine {
    let mut engine = Engine::new_raw();
    LogicPackage::new().register_into_engine(&mut engine);
    BasicStringPackage::new().register_into_engine(&mut engine);
    engine
        .set_optimization_level(OptimizationLevel::None)
        .set_max_operations(MAX_OPERATIONS)
        .set_max_call_levels(4)
        .set_max_expr_depths(MAX_EXPR_DEPTH, MAX_EXPR_DEPTH)
        .set_max_variables(32)
        .set_max_functions(8)
        .set_max_string_size(MAX_TEXT)
        .set_max_array_size(64)
        .set_max_map_size(32)
        .set_strict_variables(true)
        .set_fail_on_invalid_map_property(true)
        .set_allow_looping(false)
        .set_allow_loop_expressions(false)
        .set_allow_anonymous_fn(false)
        .set_allow_shadowing(false);
    for word in ["eval", "try", "catch", "throw", "import", "export", "print", "debug", "Fn", "call", "curry"]
    {
        engine.disable_symbol(word);
    }
    super::script::register(&mut engine);
    engine
}
