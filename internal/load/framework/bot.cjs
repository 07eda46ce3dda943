// A bot as the framework's own guide would have it: a session a chat in Redis, read
// and written for each message, the answer in the webhook's reply. It dedupes
// nothing, keeps no log and no outbox.
//
//	node bot.cjs PORT SOCKET SECRET PROCESSES
const cluster = require("node:cluster");
const http = require("node:http");
const { Bot, session, webhookCallback } = require("grammy");
const { RedisAdapter } = require("@grammyjs/storage-redis");
const { Redis } = require("ioredis");

const [port, socket, secretToken, processes] = process.argv.slice(2);

// As the framework's own for node:http, but that an answer goes out with its length.
function adapter(request, response) {
  return {
    update: new Promise((resolve, reject) => {
      const chunks = [];
      request.on("data", (chunk) => chunks.push(chunk));
      request.once("end", () => resolve(JSON.parse(Buffer.concat(chunks).toString("utf-8"))));
      request.once("error", reject);
    }),
    header: request.headers["x-telegram-bot-api-secret-token"],
    end: () => response.end(),
    respond: (json) => {
      response.setHeader("Content-Type", "application/json");
      response.setHeader("Content-Length", Buffer.byteLength(json));
      response.end(json);
    },
    unauthorized: () => {
      response.statusCode = 401;
      response.end();
    },
  };
}

function serve() {
  const bot = new Bot("1:invented", {
    botInfo: { id: 1, is_bot: true, first_name: "Yardstick", username: "yardstick_bot" },
    client: { canUseWebhookReply: (method) => method === "sendMessage" },
  });
  bot.use(session({ initial: () => ({ readings: [] }), storage: new RedisAdapter({ instance: new Redis(socket) }) }));
  bot.on("message:text", async (ctx) => {
    ctx.session.readings.push({ text: ctx.message.text, at: ctx.message.date });
    await ctx.reply(ctx.message.text);
  });
  const server = http.createServer(webhookCallback(bot, adapter, { secretToken }));
  server.keepAliveTimeout = 3600_000;
  server.listen(Number(port), "127.0.0.1");
}

if (cluster.isPrimary && Number(processes) > 1) {
  for (let i = 0; i < Number(processes); i++) cluster.fork();
} else {
  serve();
}
