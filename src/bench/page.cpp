#include "bench/page.hpp"

#include "bench/desk.hpp"

namespace mendtone::bench {
namespace {

std::string_view type_of(std::string_view name) {
  const std::string_view ending = name.substr(std::min(name.rfind('.'), name.size()));
  if (ending == ".html") return "text/html; charset=utf-8";
  if (ending == ".js") return "text/javascript; charset=utf-8";
  if (ending == ".css") return "text/css; charset=utf-8";
  if (ending == ".svg") return "image/svg+xml";
  if (ending == ".png") return "image/png";
  if (ending == ".woff2") return "font/woff2";
  return "application/octet-stream";
}

}  // namespace

Reply page_call(const Asked& asked) {
  const std::string& part = asked.parts.front();
  const std::string_view name = part.empty() ? "index.html" : std::string_view(part);
  for (std::size_t i = 0; i < detail::page_file_count; ++i) {
    const detail::PageFile& file = detail::page_files[i];
    if (file.name != name) continue;
    Reply reply;
    reply.type = type_of(name);
    reply.body = file.bytes;
    reply.lasting = name != "index.html";
    return reply;
  }
  return refusal(404, "nothing is here");
}

}  // namespace mendtone::bench
