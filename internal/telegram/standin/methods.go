package standin

import (
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
)

// method is one method of the API: what it needs, what else it takes.
type method struct {
	required []string
	optional []string
	run      func(*Server, *call) (any, *refusal)
}

func (m method) takes(name string) bool {
	return slices.Contains(m.required, name) || slices.Contains(m.optional, name)
}

// methods are all that this server knows.
var methods map[string]method

func init() { // the entries refer to functions that refer to the table
	words := func(s ...string) []string { return s }
	sending := words("business_connection_id", "message_thread_id", "parse_mode", "disable_notification",
		"protect_content",
		"reply_parameters", "reply_markup")
	methods = map[string]method{
		"getMe":      {run: (*Server).getMe},
		"getUpdates": {nil, words("offset", "limit", "timeout", "allowed_updates"), (*Server).getUpdates},
		"setWebhook": {words("url"), words("secret_token", "max_connections", "allowed_updates", "drop_pending_updates",
			"ip_address", "certificate"), (*Server).setWebhook},
		"deleteWebhook":  {nil, words("drop_pending_updates"), (*Server).deleteWebhook},
		"getWebhookInfo": {run: (*Server).getWebhookInfo},
		"sendMessage": {words("chat_id", "text"), append(words("link_preview_options", "entities"), sending...),
			(*Server).sendMessage},
		"sendDocument": {words("chat_id", "document"), append(words("caption", "thumbnail"), sending...), (*Server).sendFile},
		"sendPhoto":    {words("chat_id", "photo"), append(words("caption", "has_spoiler"), sending...), (*Server).sendPhoto},
		"editMessageText": {words("text"), words("chat_id", "message_id", "inline_message_id", "parse_mode", "entities",
			"link_preview_options", "reply_markup"), (*Server).editMessageText},
		"answerCallbackQuery": {words("callback_query_id"), words("text", "show_alert", "url", "cache_time"),
			(*Server).answerCallbackQuery},
		"setMyCommands": {words("commands"), words("scope", "language_code"), (*Server).setMyCommands},
		"getMyCommands": {nil, words("scope", "language_code"), (*Server).getMyCommands},
	}
}

func (s *Server) getMe(*call) (any, *refusal) {
	return map[string]any{"id": s.BotID, "is_bot": true, "first_name": "Charter test bot", "username": s.opt.Name,
		"can_join_groups": true, "can_read_all_group_messages": s.opt.CanRead, "supports_inline_queries": false}, nil
}

func (s *Server) answerCallbackQuery(c *call) (any, *refusal) {
	if units(c.params["text"]) > 200 {
		return nil, refuse(400, "MESSAGE_TOO_LONG")
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	p := s.callbacks[c.params["callback_query_id"]]
	if p == nil || p.expired {
		return nil, refuse(400, "query is too old and response timeout expired or query ID is invalid")
	}
	p.answers = append(p.answers, c.params["text"])
	s.touch()
	return true, nil
}

// Command is one entry of a command menu.
type Command struct {
	Command     string `json:"command"`
	Description string `json:"description"`
}

var commandName = regexp.MustCompile(`^[a-z0-9_]{1,32}$`)

func (s *Server) setMyCommands(c *call) (any, *refusal) {
	var list []Command
	if err := json.Unmarshal([]byte(c.params["commands"]), &list); err != nil || list == nil {
		return nil, refuse(400, "can't parse commands JSON array")
	}
	if len(list) > 100 {
		return nil, refuse(400, "BOT_COMMANDS_TOO_MUCH")
	}
	for _, one := range list {
		if !commandName.MatchString(one.Command) {
			return nil, refuse(400, "BOT_COMMAND_INVALID")
		}
		if n := units(one.Description); n < 1 || n > 256 {
			return nil, refuse(400, "BOT_COMMAND_DESCRIPTION_INVALID")
		}
	}
	key, no := s.menuKey(c)
	if no != nil {
		return nil, no
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.commands[key] = list
	s.touch()
	return true, nil
}

func (s *Server) getMyCommands(c *call) (any, *refusal) {
	key, no := s.menuKey(c)
	if no != nil {
		return nil, no
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	return append([]Command{}, s.commands[key]...), nil
}

func (s *Server) menuKey(c *call) (string, *refusal) {
	var scope struct {
		Type string `json:"type"`
		Chat int64  `json:"chat_id"`
	}
	scope.Type = "default"
	if raw := c.params["scope"]; raw != "" {
		if json.Unmarshal([]byte(raw), &scope) != nil {
			return "", refuse(400, "can't parse BotCommandScope")
		}
	}
	known := []string{"default", "all_private_chats", "all_group_chats", "all_chat_administrators", "chat",
		"chat_administrators"}
	if !slices.Contains(known, scope.Type) {
		return "", refuse(400, "can't parse BotCommandScope: unknown type")
	}
	if lang := c.params["language_code"]; lang != "" && len(lang) != 2 {
		return "", refuse(400, "language_code must be two letters")
	}
	if scope.Type == "chat" {
		if _, no := s.reachable(scope.Chat); no != nil {
			return "", no
		}
	}
	return fmt.Sprintf("%s/%d/%s", scope.Type, scope.Chat, c.params["language_code"]), nil
}

// Menu is the command menu that a private chat with this user shows: the
// chat's own, else the default one.
func (s *Server) Menu(user int64) []Command {
	s.mu.Lock()
	defer s.mu.Unlock()
	if list, ok := s.commands[fmt.Sprintf("chat/%d/", user)]; ok {
		return list
	}
	if list, ok := s.commands["all_private_chats/0/"]; ok {
		return list
	}
	return s.commands["default/0/"]
}
