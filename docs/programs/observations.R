# Field notes as a data frame: pages of the open Breeding API, from page 0 until there is no more.
# HILUM_URL and HILUM_KEY as in keep_in_step.py. Needs the packages httr and jsonlite.
site <- Sys.getenv("HILUM_URL", "http://127.0.0.1:8000")
key <- httr::add_headers(Authorization = paste("Bearer", Sys.getenv("HILUM_KEY")))

page_of <- function(path, page) {
  answer <- httr::GET(paste0(site, "/brapi/v2/", path), key, query = list(page = page, pageSize = 100))
  httr::stop_for_status(answer)
  jsonlite::fromJSON(httr::content(answer, "text", encoding = "UTF-8"), flatten = TRUE)
}

all_of <- function(path) {
  first <- page_of(path, 0)
  rest <- seq_len(max(0, first$metadata$pagination$totalPages - 1))
  parts <- c(list(first$result$data), lapply(rest, function(page) page_of(path, page)$result$data))
  do.call(jsonlite::rbind_pages, list(parts))
}

plots <- all_of("observationunits")
notes <- all_of("observations")
cat(nrow(plots), "units,", nrow(notes), "observations\n")
