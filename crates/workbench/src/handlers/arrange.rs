//! Beginning and stopping a search for places.

use axum::response::Response;

use super::asked::Asked;
use crate::error::Refusal;
use crate::searching::begin;

pub(crate) async fn arrange(asked: Asked) -> Result<Response, Refusal> {
    asked
        .done(|asked| {
            let opened = asked.bench.look(&asked.job)?;
            let said = match asked.form.get("do") {
                Some("stop") => {
                    if let Ok(read) = &opened.read {
                        read.arranging.stop();
                    }
                    "stopping; the best so far stays"
                }
                Some(word @ ("arrange" | "anew")) => {
                    begin(&asked.bench, &opened, word == "anew");
                    "arranging"
                }
                _ => return Err(Refusal::senseless("arrange, anew or stop")),
            };
            Ok(asked.answer(&opened, Some(said)))
        })
        .await
}
