//! `page`: everything in a browser, served on this computer alone.

use crate::cli::args::PageArgs;
use crate::cli::failure::Failure;
use crate::cli::serve::Server;
use crate::cli::{Said, prompts};

pub(super) fn page(args: &PageArgs) -> Result<Said, Failure> {
    let server = Server::bound(args.port)?;
    let address = server.address();
    prompts::show(&format!(
        "The page is at\n  {address}\nNobody but you can open it, and nothing leaves this computer. Ctrl-C ends it.\n"
    ));
    if !args.no_browser && open::that_detached(&address).is_err() {
        prompts::show("No browser could be opened: open the address yourself.\n");
    }
    let interrupted = server.run();
    // An interrupt is how it is meant to end.
    let out = if interrupted.is_some() { "\nEnded.\n" } else { "Ended from the page.\n" };
    Ok(Said { out: out.into(), ..Said::default() })
}
