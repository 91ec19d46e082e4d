//! The examples of the library compile and run.

#[path = "../../examples/block_from_a_job.rs"]
mod block_from_a_job;
#[path = "../../examples/one_setting.rs"]
mod one_setting;
#[path = "../../examples/side_view.rs"]
mod side_view;

#[test]
fn all_run() {
    block_from_a_job::main().unwrap();
    one_setting::main().unwrap();
    side_view::main().unwrap();
}
