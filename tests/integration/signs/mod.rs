//! Every sign of a weak picture: a painted photo that raises it, one as near as is honest that does not, and good photos
//! that raise none.

mod panel;
mod photo;
mod plain;
