#include "bench/exchange.hpp"

#include <iostream>
#include <new>

namespace mendtone::bench {

struct Exchanger::Exchange {
  explicit Exchange(LineStream& stream_in) : stream(stream_in) {}
  LineStream& stream;
  std::optional<std::variant<Asked, Reply>> decision;  ///< nothing: the head was not understood
  bool drain = false;                                  ///< bytes of a body may still be coming
};

thread_local Exchanger::Exchange* Exchanger::now_ = nullptr;

namespace {

/// Sentences as one field of the head: each percent-encoded, with commas between.
std::string in_one_field(const std::vector<std::string>& sentences) {
  constexpr const char* digits = "0123456789ABCDEF";
  std::string field;
  for (const std::string& sentence : sentences) {
    if (!field.empty()) field += ',';
    for (const char c : sentence) {
      const auto byte = static_cast<unsigned char>(c);
      if ((c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9'))
        field += c;
      else
        field += {'%', digits[byte >> 4], digits[byte & 15]};
    }
  }
  return field;
}

void put(const Reply& reply, httplib::Response& response) {
  response.status = reply.status;
  response.set_header("Content-Security-Policy", content_policy(reply.document));
  response.set_header("Cache-Control",
                      reply.lasting ? "private, max-age=86400, immutable" : "no-store");
  if (!reply.warnings.empty())
    response.set_header("X-Mendtone-Warnings", in_one_field(reply.warnings));
  response.set_content(reply.body, reply.type);
}

Head head_of(const httplib::Request& request) {
  Head head{request.method, request.target, {}};
  for (const auto& [name, value] : request.headers) head.fields.push_back({name, value});
  return head;
}

/// All bodies that are in memory at one time: one of the largest, and many small ones.
constexpr std::size_t most_held_bytes = std::size_t{96} << 20;

/// Counts a body's bytes in, and out again.
class Held {
 public:
  Held(std::atomic<std::size_t>& all, std::size_t bytes)
      : all_(all), bytes_(bytes), granted_(all.fetch_add(bytes) + bytes <= most_held_bytes) {}
  ~Held() { all_ -= bytes_; }
  Held(const Held&) = delete;
  Held& operator=(const Held&) = delete;
  explicit operator bool() const { return granted_; }

 private:
  std::atomic<std::size_t>& all_;
  std::size_t bytes_;
  bool granted_;
};

/// The library's own refusals carry no words; these do.
Reply in_our_words(int status) {
  if (status == 413) return refusal(413, "too large");
  if (status == 414) return refusal(414, "the address is too long");
  return refusal(status < 400 ? 400 : status, "the request cannot be understood");
}

}  // namespace

Exchanger::Exchanger(const Service& service, const Patience& patience)
    : service_(service), patience_(patience) {
  httplib::Headers fields;
  for (const auto& [name, value] : security_fields()) fields.emplace(name, value);
  set_default_headers(std::move(fields));
  set_keep_alive_timeout(patience.idle_seconds / 2);
  set_keep_alive_max_count(1000);
  // Two programs on one port would share its connections out between them.
  set_socket_options([](socket_t socket) {
    const int yes = 1;
    ::setsockopt(socket, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes);
  });
  set_pre_routing_handler([this](const httplib::Request&, httplib::Response& response) {
    using httplib::Server;
    if (const auto* refused = std::get_if<Reply>(&*now_->decision)) {
      put(*refused, response);
      return Server::HandlerResponse::Handled;
    }
    const Asked& asked = std::get<Asked>(*now_->decision);
    if (asked.body != BodyWay::none) return Server::HandlerResponse::Unhandled;
    put(answer(asked, {}), response);
    return Server::HandlerResponse::Handled;
  });
  set_expect_100_continue_handler([](const httplib::Request&, httplib::Response& response) {
    const auto* refused = std::get_if<Reply>(&*now_->decision);
    if (!refused) return 100;
    put(*refused, response);
    return refused->status;
  });
  const auto with_body = [this](const httplib::Request&, httplib::Response& response,
                                const httplib::ContentReader& read) {
    answer_body(response, read);
  };
  Post("/", with_body);
  Put("/", with_body);
  set_error_handler(HandlerWithResponse([](const httplib::Request&, httplib::Response& response) {
    if (!response.body.empty()) return HandlerResponse::Unhandled;
    put(in_our_words(response.status), response);
    return HandlerResponse::Handled;
  }));
}

void Exchanger::decide(httplib::Request& request, Exchange& exchange) const {
  exchange.decision = service_.admit(head_of(request));
  // The call is decided: the library shall neither route by the path nor unpack, take apart or
  // compress a body.
  request.path = "/";
  request.params.clear();
  for (const char* name : {"Content-Type", "Content-Encoding", "Accept-Encoding"})
    request.headers.erase(name);
  if (std::holds_alternative<Asked>(*exchange.decision)) {
    exchange.stream.begin();
    return;
  }
  // A body that nobody reads would be taken for the next request.
  exchange.drain = true;
  request.headers.erase("Connection");
  request.headers.emplace("Connection", "close");
}

Reply Exchanger::answer(const Asked& asked, std::string body) const {
  try {
    return service_.answer(asked, std::move(body));
  } catch (const std::bad_alloc&) {
    return refusal(503, "this machine has not enough memory free for that");
  } catch (const std::exception& fault) {
    std::cerr << "mendtone: a fault of the program: " << fault.what() << '\n';
    return refusal(500, "a fault of the program; what you entered before is kept");
  }
}

Reply Exchanger::to_memory(const Asked& asked, const httplib::ContentReader& read) const {
  const Held held(held_bytes_, asked.body_bytes);
  if (!held) {
    now_->drain = true;
    return refusal(503, "other large files are being taken in at the moment: try again soon");
  }
  std::string body;
  body.reserve(asked.body_bytes);
  const bool whole = read([&](const char* bytes, std::size_t count) {
    body.append(bytes, count);
    return body.size() <= asked.body_bytes;
  });
  if (whole && body.size() == asked.body_bytes) return answer(asked, std::move(body));
  now_->drain = true;
  return refusal(400, "the body ended early");
}

Reply Exchanger::to_disk(const Asked& asked, const httplib::ContentReader& read) const {
  auto incoming = service_.incoming(asked);
  if (!incoming) {
    now_->drain = true;
    return refusal(incoming.error());
  }
  Result<void> kept;
  std::size_t received = 0;
  const bool whole = read([&](const char* bytes, std::size_t count) {
    received += count;
    kept = (*incoming)->piece(bytes, count);
    return kept && received <= asked.body_bytes;
  });
  if (whole && received == asked.body_bytes) return (*incoming)->finish();
  now_->drain = true;
  return kept ? refusal(400, "the file ended early") : refusal(kept.error());
}

void Exchanger::answer_body(httplib::Response& response, const httplib::ContentReader& read) const {
  const Asked& asked = std::get<Asked>(*now_->decision);
  try {
    put(asked.body == BodyWay::disk ? to_disk(asked, read) : to_memory(asked, read), response);
  } catch (const std::exception&) {
    now_->drain = true;
    put(refusal(503, "this machine has not enough memory free for that"), response);
  }
  if (now_->drain) response.set_header("Connection", "close");
}

Exchanger::After Exchanger::exchange(Line& line) {
  line.in = without_range(line.in, head_end(line.in));
  LineStream stream(line, patience_.body_seconds, patience_.bytes_a_second);
  Exchange exchange(stream);
  now_ = &exchange;
  bool closed = false, written = false;
  try {
    written = process_request(stream, false, closed,
                              [&](httplib::Request& request) { decide(request, exchange); });
  } catch (const std::exception& fault) {
    std::cerr << "mendtone: a request could not be answered: " << fault.what() << '\n';
  }
  now_ = nullptr;
  if (written && !exchange.decision) exchange.drain = true;
  if (exchange.drain) return After::drain;
  if (!written || closed) return After::close;
  line.in = stream.rest();
  return After::next;
}

}  // namespace mendtone::bench
