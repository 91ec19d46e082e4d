//! `page`: everything in a browser, served on this computer alone.

use crate::cli::args::PageArgs;
use crate::cli::failure::Failure;
use crate::cli::{Said, interrupt, prompts};
use crate::serve::{NotServed, Server};

pub(super) fn page(args: &PageArgs) -> Result<Said, Failure> {
    let failed = |NotServed { what, doing, cause }| Failure::File { path: what.into(), doing, cause };
    let server = Server::bound(args.port).map_err(failed)?;
    let address = server.address();
    prompts::show(&format!(
        "The page is at\n  {address}\nNobody but you can open it, and nothing leaves this computer. Ctrl-C ends it.\n"
    ));
    if !args.no_browser && open::that_detached(&address).is_err() {
        prompts::show("No browser could be opened: open the address yourself.\n");
    }
    let _held = interrupt::hold();
    server.run(|| interrupt::caught().is_some());
    // An interrupt is how it is meant to end.
    let out = if interrupt::caught().is_some() { "\nEnded.\n" } else { "Ended from the page.\n" };
    Ok(Said { out: out.into(), ..Said::default() })
}
